"""Posts at 20: take the parcel in, compare a serial, begin a sheet for a parcel without a form, call it off."""

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_POST, require_safe

from intake import arrivals, lifecycle, submissions
from intake.arrivals import Opened
from intake.lifecycle import SheetMoved
from intake.models import Order, Photo
from intake.refusals import Refused
from intake.request_answers import AddressAnswer, RequestAnswers
from intake.stations import Station
from shop.access import now, order_for_staff, person_of, staff_only
from shop.bench import kept_text
from shop.traveller.acting import acted, print_now, seen_version, to_sheet
from shop.traveller.acts.photos import keep_photos
from shop.traveller.bodies.goods_in import SERIAL_WORDS
from shop.traveller.forms.goods_in import GoodsInForm, NoFormParcelForm, SenderForm
from shop.traveller.page import render_sheet
from shop.traveller.receiving import receiving_context

ROLES = {"outside": Photo.Role.OUTSIDE, "opening": Photo.Role.OPENING, "identity": Photo.Role.IDENTITY}
LISTS = ("contents", "marks")
FOR_THE_BAG = ("bag_label", "quarantine_slip")


@require_POST
@staff_only
def receive(request: HttpRequest, code: str) -> HttpResponse:
    """Photos are kept first: a slip in another field never costs them."""
    order, at = order_for_staff(code), now()
    form = GoodsInForm(request.POST, request.FILES, order=order)
    form.is_valid()
    _keep_the_photos(request, order, form, at)
    if "photos_only" in request.POST:
        return _go_on(request, order)

    def deed(given: dict[str, Any]) -> str:
        opened = _opened(form, given)
        arrivals.receive(
            order=order, seen_version=seen_version(request), opened=opened, by=person_of(request), at=at
        )
        kept_text.drop(order=order, station=Station.GOODS_IN)
        return print_now(order, f"Taken in, in bag {opened.bag}.", FOR_THE_BAG)

    return acted(request, order, form, deed, name="goods_in", at="station-20")


def _keep_the_photos(request: HttpRequest, order: Order, form: GoodsInForm, at: dt.datetime) -> None:
    by = person_of(request).username
    for field, role in ROLES.items():
        try:
            files = [*request.FILES.getlist(field), *request.FILES.getlist(f"{field}_camera")]
            keep_photos(order, files, role=role, by=by, at=at)
        except Refused as refusal:
            form.add_error(field, refusal.sentence)


def _go_on(request: HttpRequest, order: Order) -> HttpResponse:
    """The photos are in; everything else that was typed is shown again, not judged yet."""
    typed = GoodsInForm(order=order, initial={**request.POST.dict(), **_lists(request)})
    return render_sheet(request, order_for_staff(order.code), forms={"goods_in": typed})


def _lists(request: HttpRequest) -> dict[str, list[str]]:
    return {name: request.POST.getlist(name) for name in LISTS}


def _opened(form: GoodsInForm, given: dict[str, Any]) -> Opened:
    return Opened(
        parcel_state=given["parcel_state"],
        parcel_words=given["parcel_words"],
        cell_state=given["cell_state"],
        bag=given["bag"],
        contents=form.contents_found(),
        condition=form.condition_words(),
        serial_read=given["serial_read"],
        weight_grams=given["weight_grams"],
        minutes=given["minutes"],
    )


@require_POST
@staff_only
def keep(request: HttpRequest, code: str) -> HttpResponse:
    """What is typed so far, kept on the server by script every few seconds."""
    fields = {
        name: "\n".join(request.POST.getlist(name))
        for name in GoodsInForm.base_fields
        if name in request.POST
    }
    try:
        kept_text.keep(
            order=order_for_staff(code),
            station=Station.GOODS_IN,
            fields=fields,
            by=person_of(request),
            at=now(),
        )
    except SheetMoved as moved:
        return JsonResponse({"error": moved.sentence}, status=409)
    return JsonResponse({"kept": True})


@require_safe
@staff_only
def compare(request: HttpRequest, code: str) -> HttpResponse:
    """One sentence about a serial that was just typed or scanned; changes nothing."""
    verdict = arrivals.compare_serial(order_for_staff(code), request.GET.get("serial_read", "")[:40])
    words = "" if verdict == "unread" else SERIAL_WORDS[verdict]
    return render(request, "shop/serial_words.html", {"words": words, "verdict": verdict})


@require_POST
@staff_only
def start(request: HttpRequest) -> HttpResponse:
    """A sheet for a parcel without a form."""
    form, at = NoFormParcelForm(request.POST), now()
    if not form.is_valid():
        context = receiving_context(form=form, page=1, at=at)
        return render(request, "shop/receiving.html", context, status=422)
    given = dict(form.cleaned_data)
    key = given.pop("form_key")
    given["name"] = given["name"] or given["email"] or given["phone"]
    order = arrivals.start_unannounced(
        answers=RequestAnswers(**given), form_key=key, by=person_of(request), at=at
    )
    return HttpResponseRedirect(reverse("shop:sheet", args=[order.code]), status=303)


@require_POST
@staff_only
def sender(request: HttpRequest, code: str) -> HttpResponse:
    """Who sent it, found out later."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        arrivals.say_who(order=order, sender=_sender(order, given), by=person_of(request), at=at)
        return "Written on the sheet."

    return acted(request, order, SenderForm(request.POST, prefix="sender"), deed, name="sender")


def _sender(order: Order, given: dict[str, Any]) -> RequestAnswers:
    place = {name: given.pop(name) for name in ("street", "city", "area", "postcode", "country")}
    place["country"] = place["country"].upper()
    address = AddressAnswer(name=given["name"], **place) if place["street"] else None
    return RequestAnswers(kind=order.device.kind, address=address, **given)


@require_POST
@staff_only
def call_off(request: HttpRequest, code: str) -> HttpResponse:
    """The customer called it off before the parcel came."""
    order = order_for_staff(code)
    try:
        submissions.withdraw(
            order=order, seen_version=seen_version(request), by=lifecycle.staff(person_of(request)), at=now()
        )
    except Refused as refusal:
        return to_sheet(request, order, refusal.sentence)
    return to_sheet(request, order, "Called off. The sheet is closed.")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/goods-in/", receive, name="receive"),
    path("sheet/<code:code>/goods-in/keep/", keep, name="keep_goods_in"),
    path("sheet/<code:code>/serial/", compare, name="compare_serial"),
    path("sheet/<code:code>/sender/", sender, name="sender"),
    path("sheet/<code:code>/call-off/", call_off, name="call_off"),
    path("receiving/start/", start, name="start_unannounced"),
]
