"""The measuring itself, with a clock that is told: no test here depends on how fast the machine is."""

import itertools

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.utils import timezone

from intake.models import Order
from shop.measuring import rows, world
from shop.measuring.ratios import Result, Row, measure, table


class Told:
    """A clock moved by the deeds that are measured."""

    def __init__(self):
        self.now = 0.0

    def __call__(self):
        return self.now

    def deed(self, *seconds):
        each = itertools.cycle(seconds)

        def done():
            self.now += next(each)

        return done


def test_ratio_is_ours_over_the_floor_by_medians():
    clock = Told()
    row = Row("page", "one select", 2.0, floor=clock.deed(0.001), ours=clock.deed(0.003))
    result = measure(row, rounds=5, times=2, clock=clock)
    assert (result.floor_ms, result.ours_ms) == (pytest.approx(1), pytest.approx(3))
    assert result.ratio == pytest.approx(3)


def test_one_busy_moment_does_not_move_the_median():
    clock = Told()
    slow_once = clock.deed(0.001, 0.001, 9.0, 0.001, 0.001, 0.001)
    result = measure(Row("page", "floor", 2.0, slow_once, clock.deed(0.002)), rounds=5, times=1, clock=clock)
    assert result.ratio == pytest.approx(2)


def test_floor_and_ours_take_turns():
    turns = []
    row = Row("page", "floor", 2.0, lambda: turns.append("floor"), lambda: turns.append("ours"))
    measure(row, rounds=5, times=1)
    assert turns == ["floor", "ours"] * 6


def test_fewer_than_five_rounds_are_refused():
    with pytest.raises(ValueError, match="five"):
        measure(Row("page", "floor", 2.0), rounds=4, times=1)


def test_row_whose_page_is_missing_says_so():
    result = measure(Row("page", "floor", 2.0), rounds=5, times=1)
    assert result.ratio is None
    assert table([result])[1].split(maxsplit=1) == ["page", "not there yet"]


def test_table_shows_each_figure():
    line = table([Result(Row("sheet", "one select", 2.0, queries=9), 1.0, 2.5)])[1]
    assert line.split() == ["sheet", "one", "select", "1.00", "2.50", "2.50", "2.00", "9"]


@pytest.mark.parametrize("words", [["--rounds=4"], ["--orders=0"], ["--times=0"], ["--scratch=elsewhere"]])
def test_bench_refuses_what_it_cannot_measure_and_touches_no_shop(db, words):
    with pytest.raises(CommandError):
        call_command("bench", *words)
    assert not Order.objects.exists()


@pytest.mark.urls("shop.measuring.floors")
def test_every_row_can_be_measured(db):
    at = timezone.now()  # the pages look at the clock, and a link lives for half a year
    found = rows.all_rows(world.build(count=2, at=at), at=at, quotes=100)
    assert [row.name for row in found] == [
        "request",
        "sheet",
        "day sheet",
        "window",
        "quote PDF",
        "bag label",
        "100 prices",
        "invoice with XML",
        "year's journal",
        "judge 1 of 5000",
        "reading echo",
        "500 likenesses",
    ]
    for row in found:
        assert (row.floor, row.why) != (None, ""), row.name
        assert row.ours() is not None
    assert found[1].queries > 0
