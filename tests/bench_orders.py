"""Orders that stand at a station, walked there through the real actions. People and devices are invented."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from intake import arrivals, submissions
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.request_answers import AddressAnswer, RequestAnswers
from quotes import diagnosis, drafts, offers, stock
from quotes.models import Part, Quote, Rates, Remedy

ANSWERS: dict[str, Any] = {
    "kind": "phone",
    "make": "Zarnik",
    "model": "Z7",
    "colour": "blue",
    "name": "Mara Ellwick",
    "email": "mara.ellwick@example.com",
    "address": AddressAnswer("Mara Ellwick", "3 Nowhere Lane", "Anytown", "US", postcode="00000"),
    "words": "Rings but nobody hears me.",
    "idea": "The microphone is blown.",
}
FOUND: dict[str, Any] = {
    "fault_class": "torn pad",
    "words": "The microphone is good. The line that feeds it is broken at a lifted pad.",
    "mendable": "yes",
    "idea_answer": "not",
}


def make_rates(at: datetime, **other: Any) -> Rates:
    """Labour 1.60 a minute, parts taxed at 8 %, return post 12.00."""
    return Rates.objects.create(
        **{
            "version": Rates.objects.count() + 1,
            "since": at,
            "rate_per_minute": Decimal("1.60"),
            "cost_per_minute": Decimal("0.70"),
            "tax_percents": {"part": "8"},
            "markup_bands": [["10", "3"], [None, "1.6"]],
            "return_post_price": Decimal(12),
            "return_post_cost": Decimal("9.40"),
            **other,
        }
    )


def make_remedy() -> Remedy:
    """96.00 flat, 60 standard minutes."""
    return Remedy.objects.create(
        name="Torn pad, jumper wire",
        plain="Mend the torn pad and run a fine wire",
        fault_class="torn pad",
        minutes=60,
        flat_price=Decimal(96),
        steps=["Lift the shield", "Run the wire"],
    )


def make_part(*, by: Person, at: datetime) -> Part:
    """Four in bin 3, bought at 0.09 each, sold at 4.00."""
    row = Part.objects.create(number="FLX-7", name="Flex part", bin="3", list_price=Decimal(4))
    stock.receive(part=row, quantity=4, unit_cost=Decimal("0.09"), key="first", by=staff(by), at=at)
    row.refresh_from_db()
    return row


def at_diagnosis(*, by: Person, at: datetime, key: str = "a", **answers: Any) -> Order:
    order, _ = submissions.submit(
        answers=RequestAnswers(**{**ANSWERS, **answers}), form_key=f"request-{key}", at=at
    )
    arrivals.receive(
        order=order,
        seen_version=order.version,
        opened=arrivals.Opened(parcel_state="sound", cell_state="sound", bag=arrivals.next_bag()),
        by=by,
        at=at,
    )
    return Order.objects.get(pk=order.pk)


def at_quote(*, by: Person, at: datetime, key: str = "a", **answers: Any) -> Order:
    order = at_diagnosis(by=by, at=at, key=key, **answers)
    diagnosis.record_finding(
        order=order,
        seen_version=order.version,
        found=diagnosis.Found(**FOUND),
        key=f"finding-{key}",
        by=by,
        at=at,
    )
    return Order.objects.get(pk=order.pk)


def lines(remedy: Remedy, part: Part | None = None, quantity: int = 1) -> list[dict[str, Any]]:
    """Labour, the part if any, return post: as a draft keeps them."""
    rows: list[dict[str, Any]] = [{"kind": "labour", "remedy": remedy.pk, "quantity": "1"}]
    if part is not None:
        rows.append({"kind": "part", "part": part.pk, "quantity": str(quantity)})
    return [*rows, {"kind": "post", "text": "Return post", "quantity": "1"}]


def send_quote(order: Order, rows: list[dict[str, Any]], *, by: Person, at: datetime) -> Quote:
    draft = drafts.draft_of(order, at=at)
    draft = drafts.save_draft(draft=draft, lines=rows, words="", promise=draft.promise, at=at)
    return offers.send(order=order, seen_version=order.version, seen_draft=draft.version, by=by, at=at)


def at_go_ahead(
    *,
    by: Person,
    at: datetime,
    remedy: Remedy,
    part: Part | None = None,
    quantity: int = 1,
    key: str = "a",
    **answers: Any,
) -> Quote:
    """An order whose quote waits for an answer; 112.32 with one part, 108.00 without."""
    order = at_quote(by=by, at=at, key=key, **answers)
    quote = send_quote(order, lines(remedy, part, quantity), by=by, at=at)
    return Quote.objects.get(pk=quote.pk)
