"""Good boards for the tests: readings of mended orders and of boards kept apart, with everything usual left out."""

from datetime import datetime
from decimal import Decimal
from itertools import count
from typing import Any

from intake.models import Order, Person
from quotes.models import GoodReading, Meter, MeterOffset, Reading
from tests import bench_orders

USUAL = {
    "board": "Z7 main",
    "point": "PP1V8",
    "mode": "diode",
    "polarity": "red on ground",
    "unit": "V",
    "typed": "as typed",
}
_NUMBERS = count()


def kept_apart(specimen: str, value: str, *, by: Person, at: datetime, **other: Any) -> GoodReading:
    """A reading of a good board; a value that is no number is a word of its own."""
    return GoodReading.objects.create(
        specimen=specimen, key=f"good-{next(_NUMBERS)}", by=by, at=at, **{**USUAL, **_value(value), **other}
    )


def mended(value: str, *, by: Person, at: datetime, order: Order | None = None, **other: Any) -> Reading:
    """A reading after the repair, on an order that ended fixed."""
    number = next(_NUMBERS)
    order = order or bench_orders.at_diagnosis(by=by, at=at, key=f"mended-{number}")
    Order.objects.filter(pk=order.pk).update(outcome="fixed")
    usual = {**USUAL, "phase": "after", "verdict": "ok", **_value(value)}
    return Reading.objects.create(order=order, key=f"after-{number}", by=by, at=at, **{**usual, **other})


def meter(name: str, *, by: Person, at: datetime, mode: str = "diode", amount: str | None = None) -> Meter:
    row, _ = Meter.objects.get_or_create(name=name)
    if amount is not None:
        MeterOffset.objects.create(
            meter=row, mode=mode, amount=Decimal(amount), since=at, by=by, why="shorted leads"
        )
    return row


def _value(value: str) -> dict[str, Any]:
    if value in ("OL", "beep", "unstable"):
        return {"special": value}
    return {"value": Decimal(value)}
