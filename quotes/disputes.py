"""Disputes: a payment that the payer's bank took back for now. It is held apart until it is decided, once."""

import datetime as dt
from decimal import Decimal

from django.db.models import Sum

from intake import history
from intake.history import in_turn
from intake.models import Person
from intake.money import quantize
from quotes import booking
from quotes.models import Dispute, DisputeEnd, Payment
from quotes.owed import NOT_WON, standing
from quotes.refusals import Refused

PROVIDER = "provider"


@in_turn
def open_dispute(
    *,
    payment: Payment,
    amount: Decimal,
    fee: Decimal,
    why: str,
    answer_by: dt.date | None,
    key: str,
    by: Person | None,
    at: dt.datetime,
) -> Dispute:
    """Hold a payment, or a part of it, apart: it counts as not paid until the dispute is won. The same key opens once.

    `fee` is what the provider charges for it, won or lost. `by` is None where a provider reported it. Never above the
    payment, other disputes of it that were not won counted in. Raises Refused.
    """
    known = Dispute.objects.filter(key=key).first()
    if known is not None:
        return known
    _check(payment, quantize(amount, payment.currency), fee, why)
    held = standing(payment.order).deposit_held
    row = Dispute.objects.create(
        payment=payment,
        key=key,
        amount=quantize(amount, payment.currency),
        fee=quantize(fee, payment.currency),
        why=why.strip()[:200],
        answer_by=answer_by,
        at=at,
        by=by,
    )
    booking.book_dispute(row, deposit_held=held)
    facts: dict[str, object] = {
        "amount": str(row.amount),
        "currency": payment.currency,
        "answer_by": answer_by.isoformat() if answer_by else "",
    }
    who = by.username if by else PROVIDER
    history.record(order=payment.order, what="dispute opened", by=who, at=at, facts=facts)
    return row


def _check(payment: Payment, amount: Decimal, fee: Decimal, why: str) -> None:
    if payment.amount < 0:
        raise Refused("Only money that came in can be disputed.")
    if payment.kind == Payment.Kind.CASH:
        raise Refused("Cash cannot be taken back by a bank.")
    if not why.strip():
        raise Refused("Say what the payer's bank gives as the reason.", field="why")
    if amount <= 0:
        raise Refused("Say how much is disputed: more than nought.", field="amount")
    if fee < 0:
        raise Refused("A fee cannot be below nought.", field="fee")
    before = payment.disputes.filter(NOT_WON).aggregate(sum=Sum("amount"))["sum"] or Decimal(0)
    left = quantize(payment.amount - before, payment.currency)
    if amount > left:
        raise Refused(
            f"Only {left} of this payment can be disputed; it was {quantize(payment.amount, payment.currency)}.",
            field="amount",
        )


@in_turn
def end_dispute(*, dispute: Dispute, won: bool, by: Person | None, at: dt.datetime) -> DisputeEnd:
    """Write how it ended. Won: the money is back and counts as paid. Lost: it is owed again.

    The same ending again returns the row that is there; another one is refused.
    """
    known = DisputeEnd.objects.filter(dispute=dispute).first()
    if known is not None:
        if known.won == won:
            return known
        raise Refused(f"This dispute has ended already: it was {known}.")
    payment = dispute.payment
    short = standing(payment.order).deposit_short
    row = DisputeEnd.objects.create(dispute=dispute, won=won, at=at, by=by)
    booking.book_dispute_end(row, short=short)
    facts: dict[str, object] = {"amount": str(dispute.amount), "currency": payment.currency}
    history.record(
        order=payment.order,
        what="dispute won" if won else "dispute lost",
        by=by.username if by else PROVIDER,
        at=at,
        facts=facts,
    )
    return row
