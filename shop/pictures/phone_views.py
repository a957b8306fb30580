"""The code on the screen for the bench phone, and the phone's own page, which asks nobody to sign in."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlsplit

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from intake import pictures, visits
from intake.models import Order
from intake.papers.codes import qr_svg
from intake.refusals import Refused
from shop.access import now, order_for_staff, person_of, staff_only
from shop.models import PhonePass
from shop.pictures import phone
from shop.pictures.forms import PhoneForm
from shop.pictures.seen import seen
from shop.traveller.side import USUAL_ROLE
from shop.window.by_link import private
from shop.window.limits import too_many

SESSION = "phone_pass"
MOST_BYTES = pictures.LIMITS.max_bytes
MISSES_A_MINUTE, PHOTOS_IN_TEN_MINUTES = 20, 200
# What a machine calls itself, and no phone on the network can find it by.
ONLY_HERE = {"localhost", "127.0.0.1", "::1"}
# Tells the script that asks every few seconds to stop asking.
STOP_ASKING = 286


@require_POST
@staff_only
def open_code(request: HttpRequest, code: str) -> HttpResponse:
    """Make a pass and show its code."""
    order = order_for_staff(code)
    try:
        row = phone.open_pass(
            order=order, role=USUAL_ROLE.get(order.at_station, "fault"), by=person_of(request), at=now()
        )
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return HttpResponseRedirect(reverse("shop:pictures", args=[order.code]), status=303)
    return HttpResponseRedirect(reverse("shop:phone_code", args=[order.code, row.pk]), status=303)


@require_safe
@staff_only
def code_page(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """The square code while the pass is live, and what has come in by it."""
    row = _pass_of(code, pk)
    context = {"order": row.order, "row": row, "live": phone.is_live(row, at=now()), "photos": _came(row)}
    if context["live"] and (secret := phone.secret_of(row)):
        address = request.build_absolute_uri(reverse("shop:phone_in", args=[secret]))
        context |= {"square": qr_svg(address), "address": address}
        context["only_here"] = urlsplit(address).hostname in ONLY_HERE
    return private(render(request, "shop/pictures/phone_code.html", context))


@require_safe
@staff_only
def arrived(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """The part of the code's page that is asked for again every few seconds."""
    row = _pass_of(code, pk)
    live = phone.is_live(row, at=now())
    context = {"order": row.order, "row": row, "live": live, "photos": _came(row)}
    answer = render(request, "shop/pictures/arrived.html", context, status=200 if live else STOP_ASKING)
    return private(answer)


@require_POST
@staff_only
def end_code(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    row = _pass_of(code, pk)
    phone.end_pass(row=row, by=person_of(request).username, at=now())
    messages.success(request, "The phone is let out. Its photos are on the sheet.")
    return HttpResponseRedirect(reverse("shop:pictures", args=[row.order.code]), status=303)


@require_safe
def come_in(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the secret for the session and lead on, so that no history and no log goes on holding it."""
    row = phone.find_pass(token, at=now())
    if row is None:
        often = too_many("phone", visits.sender_of(request), most=MISSES_A_MINUTE, seconds=60)
        answer = run_out(request, status=429 if often else 404)
        # The line in the log would name the address, and with it the secret.
        answer._has_been_logged = True  # type: ignore[attr-defined]  # read by django.utils.log
        return answer
    if request.method == "GET":
        request.session.cycle_key()
        request.session[SESSION] = row.pk
    return private(HttpResponseRedirect(reverse("shop:phone"), status=303))


def run_out(request: HttpRequest, *, status: int = 404) -> HttpResponse:
    """One answer for a pass that is unknown, ended or too old."""
    if _wants_json(request):
        sentence = f"{phone.GONE} Ask for a fresh one at the bench."
        return private(JsonResponse({"error": sentence, "gone": True}, status=status))
    return private(render(request, "shop/pictures/phone_gone.html", status=status))


def by_pass(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Gives the view the live pass of this browser, or says that the code has run out."""

    @wraps(view)
    def guarded(request: HttpRequest, **more: Any) -> HttpResponse:
        pk = request.session.get(SESSION)
        row = phone.live_pass(pk, at=now()) if isinstance(pk, int) else None
        # A page that is still open from an earlier code may belong to another sheet.
        if row is not None and request.POST.get("sheet", row.order.code) != row.order.code:
            row = None
        return run_out(request) if row is None else private(view(request, row, **more))

    return guarded


@require_safe
@by_pass
def page(request: HttpRequest, row: PhonePass) -> HttpResponse:
    """Where the phone takes and sends photos. Nothing of the customer is on it."""
    return _page(request, row, PhoneForm(initial={"role": row.role}))


@require_POST
@by_pass
def send(request: HttpRequest, row: PhonePass) -> HttpResponse:
    """Keep what was sent. A script sends one at a time and is answered in JSON: {kept} or {error}."""
    form = PhoneForm(request.POST, request.FILES)
    kept = _keep(row, form) if form.is_valid() else 0
    if _wants_json(request):
        faults = [str(error) for errors in form.errors.values() for error in errors]
        answer = {"error": faults[0]} if faults else {"kept": kept, "count": len(_came(row))}
        return JsonResponse(answer, status=422 if faults else 200)
    if form.errors:
        return _page(request, row, form, kept=kept, status=422)
    messages.success(request, "The photo is kept." if kept == 1 else f"{kept} photos are kept.")
    return HttpResponseRedirect(reverse("shop:phone"), status=303)


@require_POST
@by_pass
def done(request: HttpRequest, row: PhonePass) -> HttpResponse:
    """The phone says that it has sent all."""
    phone.end_pass(row=row, by=row.made_by.username, at=now())
    request.session.pop(SESSION, None)
    return render(request, "shop/pictures/phone_gone.html", {"done": True})


def _keep(row: PhonePass, form: PhoneForm) -> int:
    """How many are kept; what is wrong with the others is put on the form, each by its name."""
    kept, given = 0, form.cleaned_data
    for upload in [*given["camera"], *given["photos"]]:
        try:
            if too_many("phone-photos", str(row.pk), most=PHOTOS_IN_TEN_MINUTES, seconds=600):
                raise Refused("These are very many photos in a short time. Wait a little.")
            if upload.size > MOST_BYTES:
                raise Refused(f"It is over {MOST_BYTES // 1_000_000} MB, the most a photo may have.")
            phone.take_photo(row=row, content=upload.read(), role=given["role"], at=now())
            kept += 1
        except Refused as refusal:
            form.add_error(None, f"{str(upload.name)[:80]}: {refusal.sentence}")
    return kept


def _page(
    request: HttpRequest, row: PhonePass, form: PhoneForm, *, kept: int = 0, status: int = 200
) -> HttpResponse:
    context = {"row": row, "order": row.order, "form": form, "kept": kept, "count": len(_came(row))}
    return render(request, "shop/pictures/phone.html", context, status=status)


def _came(row: PhonePass) -> list[Any]:
    """Photos that came onto the sheet since the pass was made, newest first."""
    return seen(
        row.order.photos.filter(taken_at__gte=row.made_at).order_by("-taken_at", "-id"), readings=True
    )


def _pass_of(code: str, pk: int) -> PhonePass:
    order: Order = order_for_staff(code)
    return get_object_or_404(PhonePass.objects.select_related("order", "made_by"), pk=pk, order=order)


def _wants_json(request: HttpRequest) -> bool:
    return request.headers.get("Accept", "").startswith("application/json")
