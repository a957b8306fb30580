"""Walks an order to any station through the real actions, for tests that start there."""

import datetime as dt
import itertools
from decimal import Decimal

from intake import submissions
from intake.models import Order, Person
from intake.request_answers import AddressAnswer, RequestAnswers
from intake.stations import Station
from shop.demo.steps import answer, deliver, find, mend, pay, quote, receive, send, test_and_pass

__all__ = [
    "answer",
    "answers",
    "deliver",
    "find",
    "mend",
    "pay",
    "quote",
    "receive",
    "request",
    "send",
    "test_and_pass",
    "to",
]

_numbers = itertools.count(1)

ADDRESS = AddressAnswer(
    name="Mara Ellwick", street="3 Nowhere Lane", city="Anytown", area="ZZ", postcode="00000", country="US"
)


def answers(**changes: object) -> RequestAnswers:
    """Mara's request, with changes."""
    given: dict[str, object] = {
        "kind": "phone",
        "make": "Zarnik",
        "model": "Z7",
        "colour": "grey",
        "serial": "ZZ-0417",
        "symptoms": ["Nobody hears me"],
        "words": "Rings but nobody hears me.",
        "idea": "The microphone is blown",
        "in_the_box": ["Phone", "Sleeve"],
        "name": "Mara Ellwick",
        "email": "mara.ellwick@example.com",
        "phone": "555-0101",
        "address": ADDRESS,
        "declared_value": Decimal("240.00"),
        "data_wish": "needed",
        "backed_up": "no",
        "lock_wish": "test without",
    }
    return RequestAnswers(**{**given, **changes})  # type: ignore[arg-type]


def request(*, at: dt.datetime, **changes: object) -> Order:
    """A sent request: 10 signed, 20 open."""
    order, _ = submissions.submit(answers=answers(**changes), form_key=f"walk-{next(_numbers)}", at=at)
    return order


def to(order: Order, station: Station, *, by: Person, at: dt.datetime) -> Order:
    """Walk a fresh request on to a station, everything going well."""
    steps = [
        (Station.DIAGNOSIS, lambda: receive(order, by=by, at=at)),
        (Station.QUOTE, lambda: find(order, by=by, at=at)),
        (Station.GO_AHEAD, lambda: quote(order, by=by, at=at)),
        (Station.REPAIR, lambda: answer(order, at=at)),
        (Station.TEST, lambda: mend(order, by=by, at=at)),
        (Station.GOODS_OUT, lambda: test_and_pass(order, by=by, at=at)),
        (Station.WAY_HOME, lambda: send(pay(order, by=by, at=at), by=by, at=at)),
        (Station.HOME, lambda: deliver(order, by=by, at=at)),
    ]
    for target, step in steps:
        if order.station < target <= station:
            step()
            order.refresh_from_db()
    return order
