"""A person says what a movement is: bills it pays, money booked already, a payout of the card provider, or none of ours.

Each line once, for good. What was confirmed wrongly is put right as everywhere: by a refund on the sheet, and a payment
where it belongs.
"""

import datetime as dt
import zoneinfo
from collections.abc import Sequence
from decimal import Decimal

from intake import history, wording
from intake.history import in_turn
from intake.models import Letterhead, Order, Person
from intake.money import quantize
from quotes import ledger, payments
from quotes.bank.matching import Share
from quotes.ledger_maths import Leg
from quotes.models import Account, BankLine, BankMatch, Payment
from quotes.refusals import Refused

PAYOUT = "Payout of the card provider."
# What the books hold of one movement: nine digits before the point.
MOST = 10**9


class AlreadyMatched(Refused):
    """Somebody said before what this movement is; nothing has changed."""

    def __init__(self, match: BankMatch) -> None:
        super().__init__(f"{match.by} has said already what this is: {match.why} Nothing has changed.")
        self.match = match


@in_turn
def confirm(*, line: BankLine, shares: Sequence[Share], why: str, by: Person, at: dt.datetime) -> BankMatch:
    """Book the movement as payments by transfer, one for each share; together they are exactly the movement.

    Dated on the day the bank booked it, or `at` where that day is closed, with a note. Raises Refused.
    """
    _refuse_matched(line)
    _refuse_huge(line)
    if line.amount <= 0:
        raise Refused("Only money that came in can pay a bill.")
    if not shares or any(share.amount <= 0 for share in shares):
        raise Refused("Say which order it pays, and how much of it: more than nought.", field="order")
    gone = sum((share.amount for share in shares), Decimal(0))
    left = quantize(line.amount - gone, line.statement.currency)
    if left:
        raise Refused(
            f"Say where all of it goes: {abs(left)} {'are left' if left > 0 else 'too much'}.", field="amount"
        )
    moment, note = _moment(line, at)
    booked = [
        _pay(line, share, number, by=by, at=moment, note=note) for number, share in enumerate(shares, start=1)
    ]
    return _match(line, booked[0], why, by, at)


def _pay(line: BankLine, share: Share, number: int, *, by: Person, at: dt.datetime, note: str) -> Payment:
    order = Order.objects.filter(code=share.order).first()
    if order is None:
        raise Refused(f"There is no order {share.order}.", field="order")
    if order.currency != line.statement.currency:
        raise Refused(
            f"{order.code} is in {order.currency}, the account in {line.statement.currency}.", field="order"
        )
    return payments.record_payment(
        order=order,
        kind=Payment.Kind.TRANSFER,
        purpose=share.purpose,
        amount=share.amount,
        key=f"bank:{line.key}:{number}",
        note=" ".join(word for word in (note, line.name, line.bank_ref) if word)[:200],
        by=by,
        at=at,
    )


def _moment(line: BankLine, at: dt.datetime) -> tuple[dt.datetime, str]:
    """Noon of the bank's day on the shop's calendar, where the books are open there; else now, and a note."""
    zone = zoneinfo.ZoneInfo(Letterhead.current().zone)
    noon = dt.datetime.combine(line.day, dt.time(12), zone).astimezone(dt.UTC)
    closed = ledger.closed_upto()
    if closed is not None and line.day <= closed:
        return at, f"Booked by the bank on {wording.day_year(line.day)}, a day that is closed."
    return min(noon, at), ""


@in_turn
def match_booked(*, line: BankLine, payment: Payment, by: Person, at: dt.datetime) -> BankMatch:
    """Tie the movement to a payment or refund by transfer that is in the books already. Nothing is booked. Raises Refused."""
    _refuse_matched(line)
    if payment.kind != Payment.Kind.TRANSFER or payment.amount != line.amount:
        raise Refused("Sum and way of payment must be the same as the bank's.")
    if payment.currency != line.statement.currency:
        raise Refused(f"The payment is in {payment.currency}, the account in {line.statement.currency}.")
    if payment.bank_lines.exists() or payment.key.startswith("bank:"):
        raise Refused("That payment has a line of the bank already.")
    what = "refund" if payment.amount < 0 else "payment"
    return _match(line, payment, f"The {what} of {payment.order.code} that was booked by hand.", by, at)


@in_turn
def not_ours(*, line: BankLine, why: str, by: Person, at: dt.datetime) -> BankMatch:
    """Say that the movement is no customer's. It stays listed with the reason. Raises Refused."""
    _refuse_matched(line)
    if not why.strip():
        raise Refused("Say what it is, in a word or two.", field="why")
    return _match(line, None, why.strip(), by, at)


@in_turn
def card_payout(*, line: BankLine, by: Person, at: dt.datetime) -> BankMatch:
    """What the card provider had collected is in the bank now: from 'card payments under way' to the bank. Raises Refused."""
    _refuse_matched(line)
    _refuse_huge(line)
    moment, note = _moment(line, at)
    ledger.post(
        key=f"payout:{line.key}",
        what="payout",
        text=f"{PAYOUT} {note}".strip(),
        postings=[Leg(Account.BANK, "", line.amount), Leg(Account.CARD, "", -line.amount)],
        document=line.bank_ref[:40],
        currency=line.statement.currency,
        at=moment,
        by=by,
    )
    return _match(line, None, PAYOUT, by, at)


def _refuse_matched(line: BankLine) -> None:
    match = BankMatch.objects.select_related("by").filter(line=line).first()
    if match is not None:
        raise AlreadyMatched(match)


def _refuse_huge(line: BankLine) -> None:
    if abs(line.amount) >= MOST:
        raise Refused("That is more than these books can hold of one movement. Say that it is none of ours.")


def _match(line: BankLine, payment: Payment | None, why: str, by: Person, at: dt.datetime) -> BankMatch:
    match = BankMatch.objects.create(line=line, payment=payment, why=why[:200], by=by, at=at)
    history.record(
        order=payment.order if payment else None,
        what="bank movement",
        by=by.username,
        at=at,
        facts={"line": line.key, "amount": str(line.amount), "why": match.why},
    )
    return match


def payments_of(match: BankMatch) -> list[Payment]:
    """Every payment that a confirmed movement became."""
    rows = Payment.objects.select_related("order")
    found = list(rows.filter(key__startswith=f"bank:{match.line.key}:").order_by("key"))
    return found or ([match.payment] if match.payment else [])
