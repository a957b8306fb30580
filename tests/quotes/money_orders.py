"""Orders with money on them, through the real actions: 112.32 agreed and billed, paid as the test says."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from intake.models import Order, Person
from quotes import billing, decisions, payments
from quotes.models import Invoice, Part, Payment, Quote, Remedy
from tests.bench_orders import at_go_ahead


def agreed(*, by: Person, at: datetime, remedy: Remedy, part: Part | None = None, **other: Any) -> Quote:
    """A quote that was answered with a yes: 112.32 with one part (0.32 of it tax), 108.00 without."""
    quote = at_go_ahead(by=by, at=at, remedy=remedy, part=part, **other)
    decisions.decide(quote=quote, answer=decisions.Answer("mend", "Mara Ellwick", quote.digest, "Yes"), at=at)
    return Quote.objects.get(pk=quote.pk)


def billed(quote: Quote, *, by: Person, at: datetime) -> Invoice:
    invoice = billing.bill_agreed(order=quote.order, quote=quote, by=by, at=at)
    assert invoice is not None
    return invoice


def paid(order: Order, amount: str, *, by: Person, at: datetime, **other: Any) -> Payment:
    """By card, unless the test says else; each with a key of its own."""
    given = {"kind": "card", "key": f"paid:{Payment.objects.count()}", **other}
    return payments.record_payment(order=order, amount=Decimal(amount), by=by, at=at, **given)
