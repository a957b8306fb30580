"""Payments, deposits, refunds, write-offs, what is made good: written once; what is wrong is put right by a further row."""

import datetime as dt
from decimal import Decimal

from intake import history, letters
from intake.history import in_turn
from intake.models import Order, Person
from intake.money import MOST, quantize
from quotes import booking, deposits
from quotes.cash_rounding import cash_rounding
from quotes.models import Payment, Rates, WriteOff
from quotes.owed import balance, deposit_held, in_dispute, standing, to_pay_back
from quotes.refusals import Refused

BILL, DEPOSIT, LOSS = Payment.Purpose.BILL, Payment.Purpose.DEPOSIT, Payment.Purpose.LOSS


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
    purpose: str = BILL,
) -> Payment:
    """Write money that came. Part and over payments are taken; the same key books once.

    A deposit is the customer's until the invoice sets it off, so it is refused once there is one. Raises Refused.
    """
    known = Payment.objects.filter(key=key).first()
    if known is not None:
        return known
    _check(kind, purpose)
    if quantize(amount, order.currency) <= 0:
        raise Refused("Say how much came in: more than nought.", field="amount")
    if fee < 0 or fee > amount:
        raise Refused("A fee is a part of what came in.", field="fee")
    if purpose == DEPOSIT and order.invoices.exists():
        raise Refused("There is a bill already: book it as a payment for the bill.", field="purpose")
    return _pay(order, kind, purpose, amount, key, by, at, fee, note)


@in_turn
def refund(
    *,
    order: Order,
    kind: str,
    amount: Decimal,
    key: str,
    by: Person,
    at: dt.datetime,
    note: str,
    purpose: str = BILL,
) -> Payment:
    """Write money that went back: never more than was paid in excess of what is owed, or of a deposit than is held."""
    known = Payment.objects.filter(key=key).first()
    if known is not None:
        return known
    _check(kind, purpose)
    Order.objects.select_for_update().get(pk=order.pk)
    over = deposit_held(order) if purpose == DEPOSIT else to_pay_back(order)
    if quantize(amount, order.currency) <= 0:
        raise Refused("Say how much went back: more than nought.", field="amount")
    if quantize(amount, order.currency) + coin_rounding(kind, purpose, over, amount, order.currency) > over:
        advice = "No more of the deposit is held." if purpose == DEPOSIT else _why_no_more(order, over)
        raise Refused(f"Only {max(over, Decimal(0))} can go back. {advice}", field="amount")
    return _pay(order, kind, purpose, -amount, key, by, at, Decimal(0), note)


@in_turn
def write_off(*, order: Order, amount: Decimal, key: str, why: str, by: Person, at: dt.datetime) -> WriteOff:
    """Give up what is owed, or a part of it: the owner's alone, and never more than is owed. The same key books once.

    What is in dispute is not given up meanwhile: it may still come back. Raises Refused.
    """
    known = WriteOff.objects.filter(key=key).first()
    if known is not None:
        return known
    if not by.is_owner:
        raise Refused("Only the owner writes off what is owed.")
    if not why.strip():
        raise Refused("Say why it is written off.", field="why")
    amount = quantize(amount, order.currency)
    if amount <= 0:
        raise Refused("Say how much is written off: more than nought.", field="amount")
    most = balance(order) - in_dispute(order)
    if amount > most:
        raise Refused(
            f"Only {max(most, Decimal(0))} is owed and not in dispute; no more can be written off.",
            field="amount",
        )
    row = WriteOff.objects.create(
        key=key, order=order, amount=amount, currency=order.currency, why=why.strip()[:200], at=at, by=by
    )
    booking.book_write_off(row)
    facts: dict[str, object] = {"amount": str(row.amount), "currency": row.currency, "why": row.why}
    history.record(order=order, what="written off", by=by.username, at=at, facts=facts)
    return row


@in_turn
def make_good(
    *, order: Order, kind: str, amount: Decimal, key: str, why: str, by: Person, at: dt.datetime
) -> Payment:
    """Pay the customer beyond what is owed: our own damage, goodwill, a device that was lost. The owner's alone.

    `amount` is above nought; its row is below. It is a loss, and counts neither for the bill nor for a deposit. The
    customer reads `why` in the letter; an order without a customer has none. The same key books once. Raises Refused.
    """
    known = Payment.objects.filter(key=key).first()
    if known is not None:
        return known
    if not by.is_owner:
        raise Refused("Only the owner makes good what went wrong.")
    _check_kind(kind)
    amount = quantize(amount, order.currency)
    if amount <= 0:
        raise Refused("Say how much was paid: more than nought.", field="amount")
    if amount > MOST:
        raise Refused("An amount cannot be over 1,000,000.", field="amount")
    if not why.strip():
        raise Refused("Say why; the customer reads it.", field="why")
    payment = _write(order, kind, LOSS, -amount, key, by, at, Decimal(0), why.strip())
    letters.tell(
        order,
        kind="made_good",
        ref=payment.pk,
        at=at,
        payment=payment,
        owed=balance(order),
        back=amount,
    )
    return payment


def coin_rounding(kind: str, purpose: str, due: Decimal, amount: Decimal, currency: str) -> Decimal:
    """What coins leave of a sum that is due, when `amount` is that sum in the shop's coins; else nought.

    Only cash for the bill is rounded: a card and a transfer pay to the cent.
    """
    step = Rates.current().cash_step
    if kind != Payment.Kind.CASH or purpose != BILL or not step or due <= 0:
        return Decimal(0)
    rounding = cash_rounding(due, step, currency)
    return -rounding if quantize(amount, currency) == due + rounding else Decimal(0)


def _why_no_more(order: Order, over: Decimal) -> str:
    if -balance(order) > over:
        return "No more came in: the rest was written off."
    return "Credit the invoice first if more is due."


def _check(kind: str, purpose: str) -> None:
    _check_kind(kind)
    if purpose not in (BILL, DEPOSIT):
        raise Refused("Say what it was for: the bill or a deposit.", field="purpose")


def _check_kind(kind: str) -> None:
    if kind not in Payment.Kind.values:
        raise Refused("Say how it was paid: bank transfer, card or cash.", field="kind")


def _pay(
    order: Order,
    kind: str,
    purpose: str,
    amount: Decimal,
    key: str,
    by: Person,
    at: dt.datetime,
    fee: Decimal,
    note: str,
) -> Payment:
    due = balance(order) - in_dispute(order) if amount > 0 else to_pay_back(order)
    coins = coin_rounding(kind, purpose, due, abs(amount), order.currency)
    rounding = coins if amount > 0 else -coins
    payment = _write(order, kind, purpose, amount, key, by, at, fee, note, rounding)
    if purpose == DEPOSIT and amount > 0:
        deposits.settle(order=order, at=at, by=by)
    letters.tell(
        order,
        kind="paid" if amount > 0 else "refunded",
        ref=payment.pk,
        at=at,
        payment=payment,
        deposit=purpose == DEPOSIT,
        wanted=deposits.wanted(order) if purpose == DEPOSIT else Decimal(0),
        owed=balance(order),
        back=-payment.amount,
    )
    return payment


def _write(
    order: Order,
    kind: str,
    purpose: str,
    amount: Decimal,
    key: str,
    by: Person,
    at: dt.datetime,
    fee: Decimal,
    note: str,
    rounding: Decimal = Decimal(0),
) -> Payment:
    """The row, its entry, and its line in the history."""
    short = standing(order).deposit_short if purpose == DEPOSIT else Decimal(0)
    payment = Payment.objects.create(
        key=key,
        order=order,
        kind=kind,
        purpose=purpose,
        amount=quantize(amount, order.currency),
        fee=quantize(fee, order.currency),
        rounding=rounding,
        currency=order.currency,
        note=note[:200],
        at=at,
        by=by,
    )
    entry = booking.book_payment(payment, short=short)
    facts: dict[str, object] = {"amount": str(payment.amount), "currency": order.currency, "kind": kind}
    if purpose == LOSS:
        facts["why"] = payment.note
    history.record(order=order, what=entry.what, by=by.username, at=at, facts=facts)
    return payment
