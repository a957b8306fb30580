"""The moving average of the stock, against a worked example printed in an open textbook.

Source: open accounting textbook (CC BY), chapter on inventory cost flows, the same ten purchases and sales by three methods;
IAS 2 allows a weighted average. A shorter example of another text: 300 at 8, 175 out, 375 in at 10. The textbook rounds each
average to four digits at most where it prints one.
"""

import datetime as dt
from decimal import Decimal
from fractions import Fraction
from types import SimpleNamespace

import pytest

from intake.lifecycle import staff
from intake.models import Order, Person
from quotes import stock
from quotes.models import Part
from shop.books.house import house
from shop.books.owed import stock_rows
from tests import walk

# In at a cost, or out (None); the average after each purchase as printed.
TEXTBOOK = [
    (10, "8.00", "8.00"),
    (10, "8.50", "8.25"),
    (-10, None, None),
    (20, "8.40", "8.35"),
    (-20, None, None),
    (10, "9.00", "8.675"),
    (-10, None, None),
    (20, "8.80", "8.758333"),
    (-20, None, None),
    (10, "9.10", "8.929167"),
]
SHORT = [(300, "8.00", "8.00"), (-175, None, None), (375, "10.00", "9.50"), (-280, None, None)]


def _run(
    moves: list[tuple[int, str | None, str | None]], *, order: Order, by: Person, at: dt.datetime
) -> tuple[Part, Decimal]:
    """The part after those moves, and what the pieces that went cost."""
    part = Part.objects.create(number="AVG-1", name="Averaged", bin="9")
    issued = Decimal(0)
    for number, (pieces, cost, average) in enumerate(moves):
        if cost is not None:
            stock.receive(
                part=part, quantity=pieces, unit_cost=Decimal(cost), key=f"in-{number}", by=staff(by), at=at
            )
        else:
            taken = stock.take(
                part=part, quantity=-pieces, order=order, key=f"out-{number}", by=staff(by), at=at
            )
            issued -= taken.on_hand_change * taken.unit_cost
        part.refresh_from_db()
        if average is not None:
            assert abs(part.unit_cost - Decimal(average)) <= Decimal("0.0001")
    return part, issued


@pytest.fixture
def order(bench: SimpleNamespace, at: dt.datetime) -> Order:
    return walk.request(at=at)


def test_moving_average_of_the_textbook(order: Order, bench: SimpleNamespace, at: dt.datetime) -> None:
    part, issued = _run(TEXTBOOK, order=order, by=bench.owner, at=at)
    # Printed: 178.58 left, 511.42 issued, 690.00 together.
    (row,) = (row for row in stock_rows.parts(house(), now=int(at.timestamp())) if row.number == part.number)
    assert (row.on_hand, row.worth) == (20, 17_858)
    assert issued.quantize(Decimal("0.01")) == Decimal("511.42")
    # Four digits of an average lose a little: never a cent over ten moves.
    assert abs(part.unit_cost * part.on_hand + issued - Decimal("690.00")) < Decimal("0.01")


def test_moving_average_of_the_short_example(order: Order, bench: SimpleNamespace, at: dt.datetime) -> None:
    part, issued = _run(SHORT, order=order, by=bench.owner, at=at)
    assert issued - 175 * 8 == Decimal(2660)
    assert part.unit_cost * part.on_hand == Decimal(2090)


def test_textbook_prints_what_fractions_give() -> None:
    """The published figures themselves: an average carried exactly, without the rounding of the database."""
    pieces, worth = 0, Fraction(0)
    for change, cost, average in TEXTBOOK:
        worth += change * (Fraction(cost) if cost else worth / pieces)
        pieces += change
        if average:
            assert round(float(worth / pieces), 6) == float(average)
    assert (pieces, round(float(worth), 2)) == (20, 178.58)
