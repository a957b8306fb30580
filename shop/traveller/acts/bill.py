"""Posts of money on the sheet: paid, paid back, let go unpaid. Each form's key books once."""

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake import wording
from intake.house import house
from intake.models import Order
from quotes import billing, payments
from quotes.fees import card_fee
from quotes.models import Payment, Rates
from quotes.owed import to_pay_back
from shop.access import now, order_for_staff, person_of, staff_only
from shop.returns import out
from shop.traveller.acting import acted
from shop.traveller.bill import pay_form, refund_form
from shop.traveller.forms.bill import LetGoForm


def said(order: Order) -> str:
    """How the order stands now, in a sentence."""
    owed, back = billing.balance(order), to_pay_back(order)
    sum_ = wording.money(max(owed, back), order.currency, house().locale)
    if owed > 0:
        return f"{sum_} is still owed."
    return f"{sum_} is to be paid back." if back else "Nothing is owed any more."


def _fee(order: Order, given: dict[str, Any]) -> Decimal:
    """As typed; else what the rates say a card costs, and nothing for transfer and cash."""
    if given.get("fee") is not None:
        return Decimal(given["fee"])
    if given["kind"] != Payment.Kind.CARD:
        return Decimal(0)
    rates = Rates.current()
    return card_fee(
        given["amount"], percent=rates.card_percent, fixed=rates.card_fixed, currency=order.currency
    )


@require_POST
@staff_only
def pay(request: HttpRequest, code: str) -> HttpResponse:
    order, at, by = order_for_staff(code), now(), person_of(request)
    form = pay_form(order, by, request.POST)

    def deed(given: dict[str, Any]) -> str:
        payments.record_payment(
            order=order,
            kind=given["kind"],
            amount=given["amount"],
            fee=_fee(order, given),
            key=given["key"],
            note=given["note"],
            purpose=given.get("purpose") or Payment.Purpose.BILL,
            by=by,
            at=at,
        )
        return f"Booked. {said(order)}"

    return acted(request, order, form, deed, name="pay", at="money")


@require_POST
@staff_only
def refund(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        payments.refund(
            order=order,
            kind=given["kind"],
            amount=given["amount"],
            key=given["key"],
            note=given["note"],
            purpose=given.get("purpose") or Payment.Purpose.BILL,
            by=person_of(request),
            at=at,
        )
        return f"Booked as paid back. {said(order)}"

    return acted(request, order, refund_form(order, request.POST), deed, name="refund", at="money")


@require_POST
@staff_only
def let_go(request: HttpRequest, code: str) -> HttpResponse:
    """It may leave unpaid; the reason stands on the sheet."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        out.let_go_unpaid(order=order, reason=given["reason"], by=person_of(request), at=at)
        return "It may go unpaid. The reason stands on the sheet."

    return acted(request, order, LetGoForm(request.POST), deed, name="let_go", at="money")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/money/pay/", pay, name="pay"),
    path("sheet/<code:code>/money/refund/", refund, name="refund"),
    path("sheet/<code:code>/money/let-go/", let_go, name="let_go"),
]
