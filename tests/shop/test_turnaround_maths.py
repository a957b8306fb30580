"""Turnaround: open orders are counted as open, and small numbers say so."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.books.turnaround_maths import curve_of, curve_of_days, curve_of_stays, kaplan_meier, wilson

STAYS = st.lists(st.tuples(st.integers(0, 60), st.booleans()), max_size=40)


def test_no_orders_say_nothing():
    curve = kaplan_meier([])
    assert (curve.steps, curve.orders, curve.median) == ((), 0, None)
    assert curve.ended_by(10) == 0
    assert curve.restricted_mean(10) == 10


def test_open_orders_are_not_dropped():
    """The closed ones alone have a median of 4 days; with three long open ones it is 5."""
    closed = [1, 2, 2, 3, 4, 4, 5, 5, 6, 7, 9]
    assert kaplan_meier((day, True) for day in closed).median == 4
    curve = kaplan_meier([*((day, True) for day in closed), (12, False), (15, False), (20, False)])
    assert curve.median == 5
    assert (curve.orders, curve.running) == (14, 3)


def test_a_median_that_most_have_not_reached_is_none():
    curve = kaplan_meier([(1, True), (2, False), (3, False)])
    assert curve.median is None
    assert curve.percentile(Fraction(1, 3)) == 1
    assert curve.percentile_interval(Fraction(1, 2)) == (1, None)


def test_the_last_end_of_all_leaves_nothing_open():
    last = kaplan_meier([(3, True), (3, True)]).steps[-1]
    assert (last.still_open, last.se, last.low, last.high) == (0, 0, 0, 0)


def test_wrong_questions_are_refused():
    with pytest.raises(ValueError, match="shorter"):
        kaplan_meier([(-1, True)])
    for share in (Fraction(0), Fraction(1)):
        with pytest.raises(ValueError, match="between"):
            kaplan_meier([]).percentile(share)
    with pytest.raises(ValueError, match="shorter"):
        curve_of_days(np.array([-1, 2]), np.array([True, True]))
    with pytest.raises(ValueError, match="as many"):
        curve_of_days(np.array([1, 2]), np.array([True]))
    with pytest.raises(ValueError, match="below nought"):
        curve_of({1: (-1, 2)})
    for k, n in ((-1, 3), (4, 3)):
        with pytest.raises(ValueError, match="no share"):
            wilson(k, n)


def test_wilson_at_the_edges():
    assert wilson(0, 0) == (0.0, 1.0)
    assert str(wilson(0, 5)[0]) == "0.0"
    assert wilson(5, 5)[1] == 1.0


@given(STAYS)
def test_it_is_the_plain_product_in_fractions(stays):
    """The same limit worked out step by step, as it is written on paper."""
    share, variance, expected = Fraction(1), Fraction(0), []
    for time in sorted({time for time, _ in stays}):
        at_risk = sum(other >= time for other, _ in stays)
        ended = sum(end for other, end in stays if other == time)
        if ended:
            share *= 1 - Fraction(ended, at_risk)
            if at_risk > ended:
                variance += Fraction(ended, at_risk * (at_risk - ended))
            expected.append((time, at_risk, ended, share, float(variance) if share else None))
    found = [
        (step.time, step.at_risk, step.ended, step.still_open, step.variance if step.left else None)
        for step in kaplan_meier(stays).steps
    ]
    assert found == expected


@given(STAYS)
def test_counted_by_days_or_counts_it_is_the_same(stays):
    days = np.array([day for day, _ in stays], dtype=np.int64)
    ended = np.array([end for _, end in stays], dtype=np.bool_)
    counts = {
        int(day): (int(sum(ended[days == day])), int(sum(~ended[days == day]))) for day in set(days.tolist())
    }
    assert curve_of_days(days, ended) == curve_of(counts) == kaplan_meier(stays)


def test_seconds_become_days_that_are_true_of_each_order():
    """Gone after a day and a second is gone by day 2; here for a day less a second has no full day yet."""
    curve = curve_of_stays([(86_400, True), (86_401, True), (86_399, False)])
    assert [(step.time, step.at_risk, step.ended) for step in curve.steps] == [(1, 2, 1), (2, 1, 1)]
    assert curve.running == 1
    assert curve_of_stays([]).orders == 0


@given(st.lists(st.integers(0, 60), min_size=1, max_size=40), st.integers(0, 60))
def test_with_nothing_open_it_is_plain_counting(days, by):
    curve = kaplan_meier((day, True) for day in days)
    assert curve.ended_by(by) == Fraction(sum(day <= by for day in days), len(days))
    assert curve.restricted_mean(100) == pytest.approx(sum(days) / len(days))


@given(STAYS)
def test_the_curve_only_falls_and_stays_within_its_interval(stays):
    curve = kaplan_meier(stays)
    shares = [step.still_open for step in curve.steps]
    assert shares == sorted(shares, reverse=True)
    for step in curve.steps:
        assert 0 <= step.low <= float(step.still_open) + 1e-12
        assert float(step.still_open) <= step.high + 1e-12 <= 1 + 1e-9
    assert sum(step.ended for step in curve.steps) == curve.orders - curve.running


@given(STAYS, st.integers(1, 1000))
def test_the_unit_of_time_does_not_matter(stays, factor):
    first = kaplan_meier(stays)
    second = kaplan_meier((time * factor, ended) for time, ended in stays)
    assert second.median == (None if first.median is None else first.median * factor)


@given(st.integers(0, 200), st.integers(1, 200))
def test_wilson_holds_the_share(k, n):
    k = min(k, n)
    low, high = wilson(k, n)
    assert 0 <= low <= k / n <= high <= 1
