"""Verdicts: relative to the test point, with the reason in a sentence."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.verdicts import UNKNOWN, limits, propose_verdict


def word(value=None, special=None, low=None, high=None, **more):
    number = None if value is None else D(value)
    return propose_verdict(
        number, special, None if low is None else D(low), None if high is None else D(high), **more
    ).word


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("0.451", "ok"),
        ("0.440", "ok"),
        ("0.460", "ok"),
        ("0.461", "high"),
        ("0.439", "low"),
        ("0.03", "low"),
        ("0.02", "short"),
        ("0", "short"),
    ],
)
def test_a_diode_reading_beside_own_good_boards(value, expected):
    assert word(value, low="0.440", high="0.460", mode="diode") == expected


def test_a_short_is_relative_to_the_test_point():
    assert word("2", low="1.5", high="4") == "ok"
    assert word("2", low="1500", high="4000") == "short"


def test_a_missing_rail_is_low_and_not_a_short():
    assert word("0", low="1.7", high="1.9", mode="volts") == "low"


def test_over_limit_is_open_unless_it_is_expected():
    assert word(special="OL", low="0.440", high="0.460") == "open"
    assert word(special="OL", expected_special="OL") == "ok"
    assert word("5000", expected_special="OL") == "low"


def test_a_beep_is_right_end_to_end_and_a_short_elsewhere():
    assert word(special="beep", expected_special="beep") == "ok"
    assert word(special="beep", expected_special="OL") == "short"
    assert word(special="OL", expected_special="beep") == "open"
    assert word("50", expected_special="beep") == "high"


def test_nought_where_good_boards_are_over_limit_is_a_short():
    assert word("0", expected_special="OL", mode="diode") == "short"
    assert word("0", expected_special="OL", mode="volts") == "low"


def test_a_beep_is_as_good_as_a_few_ohms_in_continuity_alone():
    few = {"low": "0.1", "high": "1.5"}
    assert word(special="beep", mode="continuity", **few) == "ok"
    assert word(special="beep", mode="ohms", **few) == "short"
    assert word(special="beep", mode="continuity", low="90", high="110") == "short"


def test_a_few_ohms_are_as_good_as_a_beep_in_continuity_alone():
    assert word("0.4", expected_special="beep", mode="continuity") == "ok"
    assert word("11", expected_special="beep", mode="continuity") == "high"
    assert word("0.4", expected_special="beep", mode="ohms") == "high"


def test_unstable_is_its_own_verdict_whatever_is_expected():
    assert word(special="unstable") == "unstable"
    assert word(special="unstable", low="1", high="2") == "unstable"


@pytest.mark.parametrize("reading", [{"value": "5"}, {"special": "OL"}, {"special": "beep"}])
def test_nothing_to_compare_with_says_so(reading):
    assert word(**reading) == UNKNOWN
    assert len(UNKNOWN) <= 20


def test_one_sided_limits():
    assert word("5", low="4") == "ok"
    assert word("3", low="4") == "low"
    assert word("5", high="4") == "high"


def test_the_reason_names_the_expectation_and_its_source():
    why = propose_verdict(None, "OL", D("0.440"), D("0.460"), expected_from="own good boards, n=7").why
    assert why == "Over limit, where 0.440 to 0.460 is expected (own good boards, n=7)."


@pytest.mark.parametrize(
    "wrong", [{}, {"value": "1", "special": "OL"}, {"value": "1", "low": "2", "high": "1"}]
)
def test_a_reading_that_is_none_or_two_things_is_refused(wrong):
    with pytest.raises(ValueError):
        word(**wrong)


@given(st.decimals(0, 1000, places=3), st.decimals(0, 1000, places=3), st.decimals(0, 1000, places=3))
def test_ok_means_within_the_limits_exactly(value, one, other):
    low, high = min(one, other), max(one, other)
    assert (word(value, low=low, high=high) == "ok") == (low <= value <= high)


@pytest.mark.parametrize(
    ("nominal", "percent", "low", "high"),
    [("10000", "1", "9900", "10100"), ("17400", "1", "17226", "17574"), ("4700", "5", "4465", "4935")],
)
def test_limits_of_a_tolerance_are_inclusive(nominal, percent, low, high):
    """Own arithmetic, no source."""
    assert limits(D(nominal), D(percent)) == (D(low), D(high))
    assert word(high, low=low, high=high) == "ok"
    assert word(D(high) + D("0.1"), low=low, high=high) == "high"
