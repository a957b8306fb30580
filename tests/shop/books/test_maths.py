"""The books' own sums: whose clock, how long at a station, a rate of few, what a spreadsheet may read."""

from decimal import Decimal

import pytest

from intake.stations import Clock, SlipReason, Station
from shop.books.clock_spans import Span, owned_seconds, spent_at, waited
from shop.books.formula_safe import harmless
from shop.books.house import bench_cost, finely, smallest_units
from shop.books.lines import Line
from shop.books.outcome_maths import Rate


def test_seconds_belong_to_the_station_and_to_a_slip_before_it() -> None:
    visits = [
        Span(Station.DIAGNOSIS, 0, 100),
        Span(Station.GO_AHEAD, 100, 300),
        Span(Station.REPAIR, 300, None),
    ]
    slips = [Span(SlipReason.PART, 350, 500), Span(SlipReason.DISPUTE, 900, None)]
    spent = owned_seconds(visits, slips, since=0, until=600)
    assert spent == {Clock.SHOP: 250, Clock.CUSTOMER: 200, Clock.SUPPLIER: 150}


def test_seconds_before_arrival_and_after_the_end_are_left_out() -> None:
    visits = [Span(Station.GOODS_IN, -500, 0), Span(Station.DIAGNOSIS, 0, 900)]
    assert owned_seconds(visits, [], since=0, until=200) == {Clock.SHOP: 200}
    assert owned_seconds(visits, [], since=0, until=0) == {}


def test_time_at_a_station_adds_its_visits_and_runs_to_now() -> None:
    visits = [Span(Station.REPAIR, 0, 100), Span(Station.TEST, 100, 200), Span(Station.REPAIR, 200, None)]
    assert spent_at(visits, Station.REPAIR, now=400) == 300
    assert spent_at(visits, Station.TEST, now=400) == 100
    assert spent_at(visits, Station.QUOTE, now=400) == -1
    assert (
        waited([Span(SlipReason.PART, 5, 9), Span(SlipReason.PART, 20, None)], SlipReason.PART, now=30) == 14
    )
    assert waited([], SlipReason.PART, now=30) == -1


def test_stay_of_an_order_still_here_runs_to_now_and_has_not_ended() -> None:
    assert Line(1, arrived=100, left=500).stay(900) == (400, True)
    assert Line(1, arrived=100).stay(900) == (800, False)


@pytest.mark.parametrize(
    ("amount", "digits", "whole"),
    [("1.005", 2, 101), ("-1.005", 2, -101), ("1.004", 2, 100), ("12", 0, 12), ("0.0005", 3, 1), ("0", 2, 0)],
)
def test_amounts_become_whole_smallest_units_by_half_up(amount: str, digits: int, whole: int) -> None:
    assert smallest_units(Decimal(amount), digits) == whole


def test_minutes_cost_to_the_cent_by_half_up() -> None:
    fine = finely(Decimal("0.7050"), 2)
    assert (fine, bench_cost(1, fine), bench_cost(87, fine), bench_cost(0, fine)) == (705_000, 71, 6134, 0)


def test_rate_of_few_is_pale_and_has_its_interval() -> None:
    """Trade's own table: 7 of 9 is 45 to 94 % (Wilson, 95 %)."""
    low, high = Rate(7, 9).limits
    assert Rate(7, 9).few and not Rate(7, 10).few
    assert (round(low, 2), round(high, 2)) == (0.45, 0.94)
    assert Rate(0, 0).share is None


@pytest.mark.parametrize("typed", ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1", "|cmd", "%a"])
def test_text_that_would_be_a_formula_is_made_harmless(typed: str) -> None:
    assert harmless(typed) == "'" + typed
    assert harmless("Mara = Ellwick") == "Mara = Ellwick"
