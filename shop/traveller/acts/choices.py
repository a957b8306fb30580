"""Posts at 40 beyond the common quote: further choices, a deposit, a surcharge."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path
from django.utils import timezone
from django.views.decorators.http import require_POST

from quotes import draft_lines
from quotes.agreed import agreed_quote
from shop.access import now, order_for_staff, staff_only
from shop.traveller.acting import acted
from shop.traveller.forms.choices import DepositForm, OfferForm, SurchargeForm


@require_POST
@staff_only
def offer(request: HttpRequest, code: str) -> HttpResponse:
    """Which further choices are offered, and the words of each."""
    order, at = order_for_staff(code), now()
    form = OfferForm(
        request.POST,
        currency=order.currency,
        today=timezone.localdate(at),
        only_mend=agreed_quote(order) is not None,
    )

    def deed(given: dict[str, Any]) -> str:
        draft_lines.offer(order=order, seen=given["draft"], choices=form.choices(), at=at)
        return "Kept."

    return acted(request, order, form, deed, name="offer", at="choices")


@require_POST
@staff_only
def deposit(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        draft_lines.ask_deposit(
            order=order, seen=given["draft"], amount=given["deposit"], words=given["deposit_words"], at=at
        )
        return "The deposit is on the quote." if given["deposit"] else "No deposit is asked for."

    form = DepositForm(request.POST, currency=order.currency)
    return acted(request, order, form, deed, name="deposit", at="choices")


@require_POST
@staff_only
def add_surcharge(request: HttpRequest, code: str) -> HttpResponse:
    """Its price is worked out with the other lines: a fixed sum, or a share of labour and parts."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        surcharge = given["surcharge"]
        line = draft_lines.surcharge_line(surcharge)
        draft_lines.add(order=order, seen=given["draft"], line=line, at=at)
        return f"Added: {surcharge.name}."

    form = SurchargeForm(request.POST, currency=order.currency)
    return acted(request, order, form, deed, name="surcharge", at="lines")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/quote/choices/", offer, name="quote_choices"),
    path("sheet/<code:code>/quote/deposit/", deposit, name="quote_deposit"),
    path("sheet/<code:code>/quote/surcharge/", add_surcharge, name="add_surcharge"),
]
