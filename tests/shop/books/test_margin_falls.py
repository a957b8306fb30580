"""From what was billed to what is left: twelve invented orders and their sums to the cent, recomputed once in another program."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given

from quotes.fees import card_fee
from shop.books.lines import Line
from shop.books.margin import burden_maths
from shop.books.margin.fall_maths import added, work_of
from shop.books.margin.sharing_maths import per_hour, rounded
from tests.shop.books import margin_lines as made


@pytest.mark.parametrize("row", made.ROWS, ids=[row[0] for row in made.ROWS])
def test_margins_of_an_invented_order_equal_its_table(row: list[str]) -> None:
    steps = added([made.of_row(row)])
    assert (steps.cash, steps.full) == (made.units(row[12]), made.units(row[13]))


def test_sums_of_the_invented_month_equal_its_table() -> None:
    """Trade's own check sums; the card fees of 32.03 and the split of the minutes among them."""
    steps = added(made.twelve())
    assert (steps.billed, steps.parts, steps.post, steps.fees) == (125_300, 9_092, 9_420, 3_203)
    assert (steps.losses, steps.cash, steps.full, steps.minutes) == (17_400, 86_185, -9_155, 1362)
    assert (steps.paid, steps.unpaid, steps.warranty) == (974 * 70, 323 * 70, 65 * 70)


@pytest.mark.parametrize("row", made.ROWS, ids=[row[0] for row in made.ROWS])
def test_card_fees_of_an_invented_order_equal_its_table(row: list[str]) -> None:
    """2.9 % and 0.30 of each card payment; Q-1003 was paid in two: a deposit of 31.00 and the rest."""
    paid = [Decimal(31), Decimal(row[6]) - 31] if row[0] == "Q-1003" else [Decimal(row[6])]
    rates: dict[str, Any] = {"percent": Decimal("2.9"), "fixed": Decimal("0.30"), "currency": "USD"}
    assert sum(card_fee(amount, **rates) for amount in paid) == Decimal(row[9])


def test_hour_of_the_invented_month_equals_its_table() -> None:
    steps = added(made.twelve())
    assert per_hour(steps.cash, steps.minutes) == 3797
    assert per_hour(steps.cash + 15_500, steps.minutes) == 4480
    assert per_hour(5, 0) is None


def test_burden_of_the_invented_month_equals_its_table() -> None:
    twelve = made.twelve()
    assert burden_maths.burden(twelve) == 22_610
    assert len(burden_maths.billed_repairs(twelve)) == 6
    assert rounded(22_610, 6) == 3_768
    assert sorted(burden_maths.shares(twelve).values()) == [3_768, 3_768, 3_768, 3_768, 3_769, 3_769]


@pytest.mark.parametrize(
    ("changes", "work"),
    [
        ({}, "paid"),
        ({"outcome": "no fix"}, "unpaid"),
        ({"outcome": "no fix", "comeback_of": 3, "cause": "same"}, "warranty"),
        ({"outcome": "fixed", "comeback_of": 3, "cause": "new"}, "paid"),
        ({"outcome": "", "left": 0, "answer": "waiting"}, "unpaid"),
        ({"outcome": "", "left": 0, "answer": "accepted"}, "paid"),
        ({"outcome": "", "left": 0, "answer": ""}, "paid"),
    ],
)
def test_work_by_who_pays_for_it(changes: dict[str, object], work: str) -> None:
    assert work_of(made.line(**changes)) == work


@given(made.MANY)
def test_steps_add_up_to_the_full_margin(lines: list[Line]) -> None:
    steps = added(lines)
    assert sum(fall.amount for fall in steps.falls() if not fall.is_sum) == steps.full
    assert steps.full == sum(line.full for line in lines)
    assert steps.bench == sum(line.bench for line in lines)


@given(made.MANY)
def test_window_before_knows_nothing_of_what_is_here_now(lines: list[Line]) -> None:
    books = made.books(lines)
    assert burden_maths.still_here(books) == books.here()
    earlier = books.within(made.WINDOW.__class__("week", "before", 1, made.SINCE))
    assert burden_maths.still_here(earlier) == []
