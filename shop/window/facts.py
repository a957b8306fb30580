"""What the window may know of an order: rows read once, nothing of the shop's own figures."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake.models import Message, Order, Photo
from intake.stations import Station
from quotes import billing, deposits
from quotes.models import Decision, Finding, Quote, QuoteEnd
from quotes.offered import WORK
from quotes.owed import in_dispute
from shop.pictures.seen import Seen, seen

OPENING = (Photo.Role.OUTSIDE, Photo.Role.OPENING, Photo.Role.IDENTITY)
FAULT = (Photo.Role.FAULT, Photo.Role.BEFORE)
AFTER = (Photo.Role.AFTER, Photo.Role.PACKED)


@dataclass(frozen=True)
class Facts:
    """`quote` is the one to show; `open` says that it can still be answered, `lapsed` that its time is over.

    `decision` is the newest answer, `doing` the choice that is worked on, `deposit` what is still to come of one.
    `owed` is without what is `disputed`: it is not asked for again meanwhile.
    """

    quote: Quote | None
    open: bool
    lapsed: bool
    decision: Decision | None
    doing: str
    deposit: Decimal
    finding: Finding | None
    owed: Decimal
    disputed: Decimal
    photos: dict[str, list[Seen]]
    messages: list[Message]
    asked: bool


def read(order: Order, *, at: dt.datetime) -> Facts:
    """Everything the window shows, read in a handful of queries."""
    quotes = list(
        order.quotes.select_related("finding", "end", "decision", "decision__noted_by").order_by("-revision")
    )
    quote = quotes[0] if quotes else None
    end = getattr(quote, "end", None) if quote is not None else None
    waiting = quote is not None and order.station == Station.GO_AHEAD and end is None
    over = bool(quote and waiting and at > quote.valid_until) or bool(
        end is not None and end.why == QuoteEnd.Why.LAPSED and order.station == Station.GO_AHEAD
    )
    messages = list(order.messages.all())
    owed, disputed = _owed(order)
    answers = [row.decision for row in quotes if hasattr(row, "decision")]
    return Facts(
        quote=quote,
        open=waiting and not over,
        lapsed=over,
        decision=answers[0] if answers else None,
        doing=next((answer.choice for answer in answers if answer.choice in WORK), ""),
        deposit=deposits.wanted(order) if order.station == Station.REPAIR else Decimal(0),
        finding=_finding(order, quote),
        owed=owed,
        disputed=disputed,
        photos=_photos(order),
        messages=messages,
        asked=any(message.from_customer and message.answered_at is None for message in messages),
    )


def _owed(order: Order) -> tuple[Decimal, Decimal]:
    """What is to pay or to be paid back, and what of the bill the payer's bank took back for now."""
    owed = billing.balance(order) if order.station >= Station.GOODS_OUT else Decimal(0)
    if owed <= 0:
        return owed, Decimal(0)
    disputed = min(in_dispute(order), owed)
    return owed - disputed, disputed


def _finding(order: Order, quote: Quote | None) -> Finding | None:
    """What was found is told with the price, or when there is nothing to offer; not while it is still weighed."""
    if quote is not None:
        return quote.finding
    if order.station >= Station.GOODS_OUT:
        return order.findings.order_by("-at", "-id").first()
    return None


def _photos(order: Order) -> dict[str, list[Seen]]:
    shown = seen(order.photos.filter(shown=True))
    return {
        "yours": [photo for photo in shown if photo.role == Photo.Role.CUSTOMER],
        "opening": [photo for photo in shown if photo.role in OPENING],
        "fault": [photo for photo in shown if photo.role in FAULT],
        "after": [photo for photo in shown if photo.role in AFTER],
    }


def at_the_end(order: Order) -> dict[str, Any]:
    """Invoices, payments, parcel, warranty: only once there can be any."""
    if order.station < Station.GOODS_OUT:
        return {}
    invoices = list(order.invoices.select_related("letterhead"))
    left = {row.pk: row.total for row in invoices if row.kind == "invoice"}
    for row in invoices:
        if row.credit_of_id in left:
            left[row.credit_of_id] += row.total
    due = [row for row in invoices if left.get(row.pk, 0) > 0]
    return {
        "invoices": invoices,
        "invoice": due[-1] if due else None,
        "credit_notes": [row for row in invoices if row.kind == "credit"],
        "payments": list(order.payments.all()),
        "parcel": getattr(order, "parcel", None),
        "warranty": getattr(order, "warranty", None),
    }


def work_has_begun(order: Order) -> bool:
    """Any minute of repair or any step done: from then on the customer cannot stop it alone."""
    return order.work.filter(kind="repair").exists() or order.steps.filter(done_at__isnull=False).exists()
