"""The weekly chart: when it speaks, and when it keeps quiet."""

import random

import pytest

from shop.books.individuals_maths import Rule, Signal, individuals

STEADY = [5.0, 6.0] * 6


def found(values: list[float | None]) -> list[Signal]:
    chart = individuals(values)
    assert chart is not None
    return list(chart.signals)


def test_with_fewer_than_eight_points_it_says_nothing() -> None:
    assert individuals([]) is None
    assert individuals([1.0] * 7) is None
    assert individuals([1.0, None] * 8) is None, "no two neighbours, no range"
    assert individuals([1.0, None, *STEADY[:6]]) is None
    assert individuals(STEADY[:8]) is not None


def test_a_steady_row_has_no_signal() -> None:
    assert found(STEADY) == []
    assert found([4.0] * 12) == [], "all alike is neither side"


def test_a_point_outside() -> None:
    """Among the others too: one far point moves the centre, so the row before it may lie on one side of it."""
    assert Signal(Rule.OUTSIDE, 12, 12, True) in found([*STEADY, 20.0])
    assert Signal(Rule.OUTSIDE, 12, 12, False) in found([*STEADY, -20.0])


def test_eight_on_one_side_and_not_seven() -> None:
    row = [1.0, 9.0] * 4
    assert Signal(Rule.RUN, 7, 15, True) in found([*row, *[6.0, 7.0] * 4])
    assert not [each for each in found([*row, 1.0, *[6.0, 7.0] * 3, 6.0, 1.0]) if each.rule is Rule.RUN]


def test_six_rising_and_not_five() -> None:
    row = [5.0, 3.0, 5.0, 3.0]
    assert Signal(Rule.TREND, 3, 8, True) in found([*row, 3.5, 4.0, 4.5, 5.0, 5.5, 3.0])
    assert not [each for each in found([*row, 3.5, 4.0, 4.5, 5.0, 3.0, 5.0]) if each.rule is Rule.TREND]
    assert Signal(Rule.TREND, 4, 9, False) in found([*row, 6.0, 5.5, 5.0, 4.5, 4.0, 3.5])


def test_a_gap_is_no_nought_and_breaks_a_run() -> None:
    whole = individuals([1.0, 9.0] * 4 + [6.0, 7.0] * 4)
    cut = individuals([1.0, 9.0] * 4 + [6.0, 7.0] * 2 + [None] + [6.0, 7.0] * 2)
    assert whole is not None and cut is not None
    assert cut.centre == whole.centre
    assert cut.ranges.count(None) == 2
    assert whole.signals and not cut.signals


def test_a_lower_limit_nothing_can_pass_is_cut() -> None:
    chart = individuals([0.5, 9.0] * 5, lowest=0.0)
    assert chart is not None
    assert chart.low == 0.0


@pytest.mark.parametrize("seed", range(5))
def test_false_alarms_of_a_steady_shop_are_few(seed: int) -> None:
    """Of 2,000 normal points about 0.27 % lie outside three sigma; the limits are estimated, so up to 1 % is let pass."""
    rng = random.Random(seed)
    chart = individuals([rng.gauss(5, 1) for _ in range(2000)])
    assert chart is not None
    outside = [each for each in chart.signals if each.rule is Rule.OUTSIDE]
    assert len(outside) < 20
    assert (chart.high - chart.low) / 6 == pytest.approx(1.0, abs=0.1)
