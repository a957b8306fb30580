"""Deeds of the bank and the cards for the children of the nursery: the same report, the same file, the same line at once."""

import datetime as dt
import secrets
from decimal import Decimal

from intake.models import Letterhead, Order
from quotes import billing
from quotes.bank import confirming, importing
from quotes.bank.matching import Share
from quotes.cards import events
from quotes.cards.provider import Event
from quotes.models import BankLine, BankMatch, CardCheckout, CardEvent, Payment, Rates
from tests import walk
from tests.faults.deeds import AT, _away, _person, _refused, _request


def _owing() -> Order:
    """An order that owes the post home."""
    by = _person("technician")
    order = walk.receive(_request(), by=by, at=AT)
    _away(order)
    billing.bill_return(order=order, rates=Rates.current(), by=by, at=AT, why="not mendable")
    return order


def ready_checkouts(*, count: int) -> list[int]:
    """Payment pages that wait, each of an order of its own."""
    Letterhead.objects.filter(pk=Letterhead.current().pk).update(card_provider="offline")
    return [
        CardCheckout.objects.create(
            provider="offline", ident=secrets.token_hex(8), order=order, amount=billing.balance(order),
            currency=order.currency, at=AT,
        ).pk
        for order in (_owing() for _ in range(count))
    ]  # fmt: skip


def report_paid(checkout_pk: int, _number: int) -> str:
    """The very same report, whoever brings it."""
    checkout = CardCheckout.objects.get(pk=checkout_pk)
    told = Event(f"paid-{checkout.ident}", "paid", checkout.ident, checkout.amount, checkout.currency, AT)
    return _refused(lambda: events.take(provider="offline", event=told, at=AT))


def report_anything(checkout_pk: int, number: int) -> str:
    """Four different reports of one payment, all at once and so in any order."""
    checkout = CardCheckout.objects.get(pk=checkout_pk)
    kind = ("paid", "disputed", "dispute_lost", "failed")[number % 4]
    told = Event(
        f"{kind}-{checkout.ident}",
        kind,
        checkout.ident,
        checkout.amount,
        checkout.currency,
        AT,
        why="Not known",
    )
    return _refused(lambda: events.take(provider="offline", event=told, at=AT))


def checkout_after(*, pk: int) -> list[str]:
    """Reports kept, payments, disputes, their ends, and what is owed."""
    checkout = CardCheckout.objects.get(pk=pk)
    paid = Payment.objects.filter(order=checkout.order)
    disputes = [dispute for payment in paid for dispute in payment.disputes.all()]
    ends = [dispute for dispute in disputes if hasattr(dispute, "end")]
    kept = CardEvent.objects.filter(checkout=checkout).count()
    counts = [str(number) for number in (kept, paid.count(), len(disputes), len(ends))]
    return [*counts, str(billing.balance(checkout.order))]


def _csv(first: int) -> bytes:
    rows = [f"{AT.date() + dt.timedelta(days=n)},{n}.00,Payer {n}" for n in range(first, first + 6)]
    return "\n".join(["Date,Amount,Payer", *rows]).encode()


def take_file_in(first: int, number: int) -> str:
    """Files that overlap, two of them equal."""
    data = _csv(first + number // 2 * 3)
    by = _person("owner")
    return _refused(lambda: importing.take_in(data=data, file_name=f"{first}.csv", layout=None, by=by, at=AT))


def lines_between(*, first: int) -> list[int]:
    """How many rows there are of each movement."""
    days = [AT.date() + dt.timedelta(days=n) for n in range(first, first + 9)]
    return [BankLine.objects.filter(day=day).count() for day in days]


def ready_lines(*, count: int) -> list[list[int]]:
    """Movements of 5.00, each with an order it is to be booked on."""
    rows = "\n".join(f"2027-01-01,5.00,Raced {secrets.token_hex(8)}" for _ in range(count))
    data = f"Date,Amount,Payer\n{rows}\n".encode()
    (statement,) = importing.take_in(
        data=data, file_name="raced.csv", layout=None, by=_person("owner"), at=AT
    )
    return [[line.pk, _owing().pk] for line in statement.lines.all()]


def say_what_it_is(subject: list[int], number: int) -> str:
    """Half of them book it, half of them say it is none of ours."""
    line, order = BankLine.objects.get(pk=subject[0]), Order.objects.get(pk=subject[1])
    by = _person("owner")
    if number % 2:
        return _refused(lambda: confirming.not_ours(line=line, why="Rent", by=by, at=AT))
    shares = [Share(order.code, Decimal(5))]
    return _refused(lambda: confirming.confirm(line=line, shares=shares, why="It fits.", by=by, at=AT))


def line_after(*, pk: int, order: int) -> list[int]:
    """Matches of the line, payments of the order."""
    match = BankMatch.objects.get(line=pk)
    paid = Payment.objects.filter(order=order).count()
    return [BankMatch.objects.filter(line=pk).count(), paid, int(match.payment_id is not None)]
