"""Payments and refunds: written once; what is wrong is put right by a further row."""

import datetime as dt
from decimal import Decimal

from intake import history, letters
from intake.history import in_turn
from intake.models import Order, Person
from intake.money import quantize
from quotes.billing import balance
from quotes.models import Payment
from quotes.refusals import Refused


@in_turn
def record_payment(
    *,
    order: Order,
    kind: str,
    amount: Decimal,
    key: str,
    by: Person,
    at: dt.datetime,
    fee: Decimal = Decimal(0),
    note: str = "",
) -> Payment:
    """Write money that came. Part and over payments are taken; the same key books once."""
    known = Payment.objects.filter(key=key).first()
    if known is not None:
        return known
    if amount <= 0:
        raise Refused("Say how much came in: more than nought.", field="amount")
    return _pay(order, kind, amount, key, by, at, fee, note)


@in_turn
def refund(
    *, order: Order, kind: str, amount: Decimal, key: str, by: Person, at: dt.datetime, note: str
) -> Payment:
    """Write money that went back; never more than was paid in excess of what is owed after credit notes."""
    known = Payment.objects.filter(key=key).first()
    if known is not None:
        return known
    Order.objects.select_for_update().get(pk=order.pk)
    over = -balance(order)
    if amount <= 0:
        raise Refused("Say how much went back: more than nought.", field="amount")
    if amount > over:
        raise Refused(
            f"Only {max(over, Decimal(0))} can go back. Credit the invoice first if more is due.",
            field="amount",
        )
    return _pay(order, kind, -amount, key, by, at, Decimal(0), note)


def _pay(
    order: Order, kind: str, amount: Decimal, key: str, by: Person, at: dt.datetime, fee: Decimal, note: str
) -> Payment:
    payment = Payment.objects.create(
        key=key,
        order=order,
        kind=kind,
        amount=quantize(amount, order.currency),
        fee=quantize(fee, order.currency),
        currency=order.currency,
        note=note[:200],
        at=at,
        by=by,
    )
    history.record(
        order=order,
        what="payment" if amount > 0 else "refund",
        by=by.username,
        at=at,
        facts={"amount": str(payment.amount), "currency": order.currency, "kind": kind},
    )
    letters.tell(
        order,
        kind="paid" if amount > 0 else "refunded",
        ref=payment.pk,
        at=at,
        payment=payment,
        owed=balance(order),
        back=-payment.amount,
    )
    return payment
