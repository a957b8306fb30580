"""Posts of the vault: by staff on the sheet, by the customer in their window."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import add_never_cache_headers
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from intake.lifecycle import CUSTOMER, staff
from intake.models import CustomerLink, Order
from intake.refusals import Refused
from shop.access import now, order_for_staff, person_of, staff_only
from shop.traveller.acting import to_sheet
from shop.traveller.page import render_sheet
from shop.vault import unlocking as codes
from shop.vault.forms import NOT_KEPT, GiveCodeForm, ShowCodeForm
from shop.window.by_link import by_link
from shop.window.limits import too_many
from shop.window.sheet import render_window
from shop.window.views import back_to_window

TRIES_AN_HOUR = 20


def _given(form: GiveCodeForm, order: Order, by: codes.Actor) -> bool:
    """Seal what the form holds; where it is refused, the sentence stands at its field."""
    if not form.is_valid():
        return False
    try:
        codes.give(
            order=order,
            shape=form.cleaned_data["shape"],
            code=form.cleaned_data["unlock_code"],
            by=by,
            at=now(),
        )
    except Refused as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        form.add_error(None, NOT_KEPT)
        return False
    return True


@sensitive_post_parameters("unlock_code")
@require_POST
@staff_only
def give(request: HttpRequest, code: str) -> HttpResponse:
    """A code that the customer told by voice."""
    order, form = order_for_staff(code), GiveCodeForm(request.POST, auto_id="code_%s")
    if _given(form, order, staff(person_of(request))):
        return to_sheet(
            request, order, "The code is sealed. It is not shown here again without a reason.", at="unlock"
        )
    return render_sheet(request, order, forms={"code": form}, status=422)


@require_POST
@staff_only
def show(request: HttpRequest, code: str) -> HttpResponse:
    """The code, for a minute; then the page goes back to the sheet by itself."""
    order, form = order_for_staff(code), ShowCodeForm(request.POST, auto_id="show_%s")
    if form.is_valid():
        try:
            shown = codes.show(
                order=order, reason=form.cleaned_data["reason"], by=person_of(request), at=now()
            )
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        else:
            context = {"order": order, "shown": shown, "seconds": codes.SHOWN_SECONDS}
            answer = render(request, "shop/vault/shown.html", context)
            add_never_cache_headers(answer)
            answer.headers["Cache-Control"] = "no-store"
            back = reverse("shop:sheet", args=[order.code])
            answer.headers["Refresh"] = f"{codes.SHOWN_SECONDS}; url={back}#unlock"
            return answer
    return render_sheet(request, order, forms={"show_code": form}, status=422)


@require_POST
@staff_only
def erase(request: HttpRequest, code: str) -> HttpResponse:
    order, by = order_for_staff(code), person_of(request)
    gone = codes.erase(order=order, why="Erased at the bench", by=by.username, at=now())
    return to_sheet(request, order, "The code is erased." if gone else "There was no code.", at="unlock")


@sensitive_post_parameters("unlock_code")
@require_POST
@by_link
def give_by_customer(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    form = GiveCodeForm(request.POST, auto_id="code_%s")
    if too_many("code", str(link.pk), most=TRIES_AN_HOUR, seconds=3600):
        form.is_valid()
        form.add_error(None, "These are very many tries in one hour. Please wait a little.")
        return render_window(request, order, link, forms={"code": form}, status=429)
    if _given(form, order, CUSTOMER):
        messages.success(request, "Your code is sealed. You see here whenever somebody looks at it.")
        return back_to_window(order, "#unlock")
    return render_window(request, order, link, forms={"code": form}, status=422)


@require_POST
@by_link
def erase_by_customer(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    if codes.erase(order=order, why="The customer erased it", by=CUSTOMER.name, at=now()):
        messages.success(request, "Your code is erased. We test without it.")
    return back_to_window(order, "#unlock")
