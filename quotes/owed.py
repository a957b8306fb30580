"""What orders owe and what the shop holds for them, added up from their papers. Reads only.

Added here and not in the database, which on SQLite would add in floating point.
"""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django.db.models import Q

from intake.models import Order
from intake.money import quantize
from quotes.ledger_maths import NOUGHT, Standing, standing_sums
from quotes.models import Dispute, Invoice, Payment, WriteOff

# A dispute counts against what was paid until it is won.
NOT_WON = Q(end__isnull=True) | Q(end__won=False)


def standings(**which: Any) -> dict[int, Standing]:
    """By order, everything that invoices, payments, disputes and write-offs say. `which` filters each of them, such as
    `order__in=pks` or `currency="USD"`; orders without any are left out. Two to four queries."""
    parts: dict[int, list[tuple[str, Decimal]]] = {}
    for order, field, amount in [*_billed(which), *_paid(which)]:
        parts.setdefault(order, []).append((field, amount))
    return {order: standing_sums(own) for order, own in parts.items()}


def standing(order: Order) -> Standing:
    """Everything that the papers say of one order."""
    return standings(order=order).get(order.pk, Standing())


def balance(order: Order) -> Decimal:
    """What is still owed, at the currency's digits. Below nought: to be paid back.

    Invoices and credit notes with their rounding, less deposits set off, payments for the bill and write-offs. A payment
    in dispute counts as not paid until the dispute is won; a deposit not set off is no part of it (`deposit_held`).
    """
    return quantize(standing(order).balance, order.currency)


def to_pay_back(order: Order) -> Decimal:
    """What is to go back to the customer; nought where nothing is, and never more than came in for the bill."""
    return quantize(standing(order).to_pay_back, order.currency)


def deposit_held(order: Order) -> Decimal:
    """Deposits that no invoice has set off: the customer's money in the shop's hands."""
    return quantize(standing(order).deposit_held, order.currency)


def in_dispute(order: Order) -> Decimal:
    """What payers' banks took back and nobody has decided yet."""
    found = Dispute.objects.filter(payment__order=order, end__isnull=True).values_list("amount", flat=True)
    return quantize(sum(found, NOUGHT), order.currency)


def _billed(which: dict[str, Any]) -> Iterator[tuple[int, str, Decimal]]:
    found = list(
        Invoice.objects.filter(**which).order_by().values_list("order_id", "total", "rounding", "prepaid")
    )
    for order, total, rounding, prepaid in found:
        yield order, "documents", total + rounding
        yield order, "prepaid", prepaid
    if found:
        given_up = WriteOff.objects.filter(**which).order_by()
        yield from (
            (order, "written_off", sum_) for order, sum_ in given_up.values_list("order_id", "amount")
        )


def _paid(which: dict[str, Any]) -> Iterator[tuple[int, str, Decimal]]:
    # What was made good is beside the bill: it pays nothing, and nothing is owed for it.
    rows = Payment.objects.filter(**which).exclude(purpose=Payment.Purpose.LOSS).order_by()
    found = list(rows.values_list("order_id", "purpose", "amount", "rounding"))
    for order, purpose, amount, rounding in found:
        yield order, _which(purpose, "paid", "deposits"), amount + rounding
    if found:
        apart = Dispute.objects.filter(
            NOT_WON, **{f"payment__{name}": value for name, value in which.items()}
        )
        held = apart.order_by().values_list("payment__order_id", "payment__purpose", "amount")
        for order, purpose, amount in held:
            yield order, _which(purpose, "disputed_bill", "disputed_deposits"), amount


def _which(purpose: str, bill: str, deposit: str) -> str:
    return deposit if purpose == Payment.Purpose.DEPOSIT else bill
