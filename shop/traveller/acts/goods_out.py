"""Posts at 80: packed and posted, in two steps; or wiped."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake.models import Order
from intake.refusals import Refused
from quotes.models import Rates
from shop.access import now, order_for_staff, person_of, staff_only
from shop.returns import out
from shop.traveller.acting import acted, print_now, seen_version
from shop.traveller.bodies.goods_out import FOR_THE_BOX, pack_form
from shop.traveller.forms.goods_out import PackForm, WipeForm
from shop.traveller.page import render_sheet

NO_ADDRESS = "Nobody knows yet where it goes back to. Write down who sent it first."


@require_POST
@staff_only
def pack(request: HttpRequest, code: str) -> HttpResponse:
    """The first press shows what would be sent; the second, on that page, sends it."""
    order, person = order_for_staff(code), person_of(request)
    form = pack_form(order, person, request.POST)
    if request.POST.get("again"):
        typed = {name: form.data.get(name) for name in form.fields} | {
            "contents": form.data.getlist("contents"),
            "checked": form.data.getlist("checked"),
        }
        again = pack_form(order, person)
        again.initial |= typed
        return render_sheet(request, order, forms={"pack": again})
    if request.POST.get("sure") == "yes":
        return _send(request, order, form)
    form.review = form.is_valid() and _would_go(order, form)
    return render_sheet(request, order, forms={"pack": form}, status=200 if form.review else 422)


def _would_go(order: Order, form: PackForm) -> bool:
    try:
        if barred := out.gate(order):
            raise Refused(barred)
        if order.return_address is None:
            raise Refused(NO_ADDRESS)
        out.check_packing(order, form.packed(Rates.current().return_post_cost))
    except Refused as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        return False
    return True


def _send(request: HttpRequest, order: Order, form: PackForm) -> HttpResponse:
    at = now()

    def deed(given: dict[str, Any]) -> str:
        if order.return_address is None:
            raise Refused(NO_ADDRESS)
        out.send(
            order=order,
            seen_version=seen_version(request),
            packed=form.packed(Rates.current().return_post_cost),
            address=order.return_address,
            key=given["key"],
            by=person_of(request),
            at=at,
        )
        return print_now(order, "On its way, and the customer is told.", FOR_THE_BOX)

    return acted(request, order, form, deed, name="pack", at="station-80")


@require_POST
@staff_only
def wiped(request: HttpRequest, code: str) -> HttpResponse:
    """The record of the wipe closes a sheet that is to be recycled."""
    order, at = order_for_staff(code), now()
    form = WipeForm(request.POST)

    def deed(given: dict[str, Any]) -> str:
        out.recycle(
            order=order,
            seen_version=seen_version(request),
            method=form.method(),
            by=person_of(request),
            at=at,
        )
        return "Wiped and closed. The customer is told."

    return acted(request, order, form, deed, name="wipe", at="here")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/pack/", pack, name="pack"),
    path("sheet/<code:code>/wiped/", wiped, name="wiped"),
]
