"""Limits of good readings: robust, never narrower than the meter, never wide enough to hide a short."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.spread import limits_of, median, scaled_mad

VALUES = st.lists(st.decimals(0, 1000, places=3), min_size=3, max_size=12)


def test_limits_are_three_scaled_mad_where_boards_spread():
    limits = limits_of([D(90), D(100), D(110)], "ohms")
    assert (limits.median, limits.by_floor) == (D(100), False)
    # 3 x 10 x 1.4826... = 44.478, to three digits of that.
    assert (limits.low, limits.high) == (D("55.5"), D("144.5"))


def test_limits_of_equal_boards_are_the_floor_of_the_mode():
    limits = limits_of([D("0.451")] * 5, "diode")
    assert (limits.low, limits.high, limits.by_floor) == (D("0.4375"), D("0.4645"), True)


def test_one_mistyped_board_moves_nothing():
    plain = limits_of([D("0.450"), D("0.451"), D("0.452"), D("0.453")], "diode")
    off = limits_of([D("0.450"), D("0.451"), D("0.452"), D("453")], "diode")
    assert (off.low, off.high) == (plain.low, plain.high)


def test_a_wide_spread_never_hides_a_short():
    limits = limits_of([D(10), D(100), D(200)], "ohms")
    assert limits.low == D(5)


def test_volts_may_go_below_nought_and_hertz_not():
    assert limits_of([D("0.001")] * 3, "volts").low < 0
    assert limits_of([D("0.1")] * 3, "hertz").low == 0


@given(VALUES)
def test_the_middle_lies_within_its_limits(values):
    limits = limits_of(values, "ohms")
    assert limits.low <= limits.median <= limits.high


@given(VALUES, st.decimals(0, 100, places=3))
def test_all_moved_alike_move_the_middle_and_not_the_spread(values, step):
    moved = [value + step for value in values]
    assert median(moved) == median(values) + step
    assert scaled_mad(moved) == scaled_mad(values)


def test_nothing_has_no_middle():
    with pytest.raises(ValueError, match="nothing"):
        median([])
