"""Further posts of money on the sheet: credited, billed again, written off, made good, disputed, put on top."""

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake import wording
from intake.house import house
from quotes import billing, disputes, payments
from quotes.ceilings import ceiling_of
from quotes.credits import left_of
from quotes.models import Dispute, Invoice
from quotes.refusals import Refused
from shop.access import now, order_for_staff, owner_only, person_of, staff_only
from shop.traveller.acting import acted
from shop.traveller.acts.bill import said
from shop.traveller.forms.bill_more import (
    CreditForm,
    DisputeEndForm,
    DisputeForm,
    MakeGoodForm,
    OnTopForm,
    WriteOffForm,
)
from shop.traveller.forms.none import NoForm


def number_of(text: str) -> int:
    """The key of a row out of a hidden field; nought, which no row has, for anything else."""
    return int(text) if text.isdecimal() and len(text) < 19 else 0


@require_POST
@owner_only
def credit(request: HttpRequest, code: str) -> HttpResponse:
    """The owner undoes an invoice, whole or in part; the customer gets the credit note."""
    order, at = order_for_staff(code), now()
    invoice: Invoice = get_object_or_404(order.invoices, pk=number_of(request.POST.get("invoice", "")))
    form = CreditForm(request.POST, invoice=invoice, left=left_of(invoice))

    def deed(given: dict[str, Any]) -> str:
        try:
            note = billing.credit(
                invoice=invoice, why=given["why"], lines=form.quantities(), key=given["key"],
                by=person_of(request), at=at,
            )  # fmt: skip
        except Refused as refusal:
            raise Refused(
                refusal.sentence, field="what" if refusal.field == "lines" else refusal.field
            ) from None
        return f"{invoice.number} is credited by {note.number}. {said(order)}"

    return acted(request, order, form, deed, name="credit", at="money")


@require_POST
@owner_only
def again(request: HttpRequest, code: str) -> HttpResponse:
    """A fresh invoice in place of what was credited whole."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        made = billing.bill_again(order=order, by=person_of(request), at=at)
        return f"{made.number} is issued. {said(order)}" if made else "There is nothing to bill."

    return acted(request, order, NoForm(request.POST), deed, name="bill_again", at="money")


@require_POST
@owner_only
def write_off(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        payments.write_off(
            order=order,
            amount=given["amount"],
            key=given["key"],
            why=given["why"],
            by=person_of(request),
            at=at,
        )
        return f"Written off. {said(order)}"

    return acted(
        request,
        order,
        WriteOffForm(request.POST, currency=order.currency),
        deed,
        name="write_off",
        at="money",
    )


@require_POST
@owner_only
def make_good(request: HttpRequest, code: str) -> HttpResponse:
    """The owner pays the customer beyond what is owed; the customer gets a letter with the reason."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        payments.make_good(
            order=order, kind=given["kind"], amount=given["amount"], key=given["key"], why=given["why"],
            by=person_of(request), at=at,
        )  # fmt: skip
        return f"Booked as made good, a loss of ours. {said(order)}"

    form = MakeGoodForm(request.POST, currency=order.currency)
    return acted(request, order, form, deed, name="make_good", at="money")


@require_POST
@owner_only
def dispute(request: HttpRequest, code: str) -> HttpResponse:
    """A payer's bank took money back for now."""
    order, at = order_for_staff(code), now()
    payment = get_object_or_404(order.payments, pk=number_of(request.POST.get("payment", "")))

    def deed(given: dict[str, Any]) -> str:
        disputes.open_dispute(
            payment=payment, amount=given["amount"], fee=given["fee"] or Decimal(0), why=given["why"],
            answer_by=given["answer_by"], key=given["key"], by=person_of(request), at=at,
        )  # fmt: skip
        return f"The dispute is written down. {said(order)}"

    return acted(request, order, DisputeForm(request.POST, payment=payment), deed, name="dispute", at="money")


@require_POST
@owner_only
def dispute_end(request: HttpRequest, code: str) -> HttpResponse:
    """Won or lost, once."""
    order, at = order_for_staff(code), now()
    mine = Dispute.objects.filter(payment__order=order)
    row = get_object_or_404(mine, pk=number_of(request.POST.get("dispute", "")))

    def deed(given: dict[str, Any]) -> str:
        won = given["won"] == "yes"
        disputes.end_dispute(dispute=row, won=won, by=person_of(request), at=at)
        return f"The dispute is {'won' if won else 'lost'}. {said(order)}"

    return acted(request, order, DisputeEndForm(request.POST), deed, name="dispute_end", at="money")


@require_POST
@staff_only
def on_top(request: HttpRequest, code: str) -> HttpResponse:
    """A line on top of the agreed quote, within what the shop's rule allows."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        row = billing.add_to_bill(
            order=order, kind=given["kind"], text=given["text"], quantity=given["quantity"],
            unit_price=given["unit_price"], key=given["key"], by=person_of(request), at=at,
        )  # fmt: skip
        most = wording.money(ceiling_of(row.quote.decision), order.currency, house().locale)
        return f"It will stand on the bill, which may come to {most} at most."

    return acted(
        request, order, OnTopForm(request.POST, currency=order.currency), deed, name="on_top", at="money"
    )


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/money/credit/", credit, name="credit"),
    path("sheet/<code:code>/money/again/", again, name="bill_again"),
    path("sheet/<code:code>/money/write-off/", write_off, name="write_off"),
    path("sheet/<code:code>/money/make-good/", make_good, name="make_good"),
    path("sheet/<code:code>/money/dispute/", dispute, name="dispute"),
    path("sheet/<code:code>/money/dispute/end/", dispute_end, name="dispute_end"),
    path("sheet/<code:code>/money/on-top/", on_top, name="on_top"),
]
