"""A value typed into a row: read by the row's mode, judged by its limits."""

from decimal import Decimal

import pytest

from quotes.reading_text import ReadingError
from shop.bench.test_limits import judge, prefix_for, read_value, way_of


@pytest.mark.parametrize("typed, mode, value", [
    (".452", "diode", "0.452"), ("d .452", "diode", "0.452"), ("0,452 V", "diode", "0.452"), ("4k7", "ohms", "4700"),
    ("1.8", "volts", "1.8"), ("1.8V", "volts", "1.8"), ("120mA", "amps", "0.12"), ("31", "celsius", "31"),
])  # fmt: skip
def test_a_value_alone_is_read_in_the_mode_of_its_row(typed, mode, value):
    assert read_value(typed, mode=mode).value == Decimal(value)


@pytest.mark.parametrize("typed, mode, prefix, value", [
    ("1", "amps", "m", "0.001"), ("a 1", "amps", "m", "0.001"), ("0,9", "amps", "m", "0.0009"), ("1 A", "amps", "m", "1"),
    ("1m", "amps", "m", "0.001"), ("4.7", "ohms", "k", "4700"), ("4k7", "ohms", "k", "4700"), ("3", "ohms", "m", "0.003"),
    ("452", "diode", "m", "0.452"), (".452", "diode", "m", "0.452"), ("1", "amps", "", "1"), ("500", "volts", "u", "0.0005"),
])  # fmt: skip
def test_a_bare_number_is_in_the_unit_the_limits_are_said_in(typed, mode, prefix, value):
    read = read_value(typed, mode=mode, prefix=prefix)
    assert read.value == Decimal(value) and read.special is None


@pytest.mark.parametrize(
    "typed, mode", [("1.8V", "amps"), ("r 3", "diode"), ("boost 3", "ohms"), ("", "ohms"), ("x", "volts")]
)
def test_a_value_of_another_mode_or_place_is_refused(typed, mode):
    with pytest.raises(ReadingError):
        read_value(typed, mode=mode)


def test_black_on_ground_has_its_own_word_and_is_kept_apart():
    assert (way_of("diode", "black on ground"), way_of("diode", "red on ground"), way_of("diode")) == (
        "db",
        "d",
        "d",
    )
    assert read_value(".5", mode="diode", polarity="black on ground").polarity == "black on ground"
    with pytest.raises(ReadingError, match="black on ground"):
        read_value("d .5", mode="diode", polarity="black on ground")


@pytest.mark.parametrize("typed, low, high, word, result", [
    (".45", "0.43", "0.47", "ok", "ok"), (".43", "0.43", "0.47", "ok", "ok"), (".42", "0.43", "0.47", "low", "bad"),
    ("OL", "0.43", "0.47", "open", "bad"), (".001", "0.43", None, "short", "bad"), (".5", None, None, "no own reading yet", ""),
    ("unstable", "0.43", "0.47", "unstable", "bad"),
])  # fmt: skip
def test_limits_are_inclusive_and_propose_ok_or_bad(typed, low, high, word, result):
    judged = judge(typed, mode="diode", low=low and Decimal(low), high=high and Decimal(high))
    assert (judged.word, judged.result) == (word, result)


def test_over_limit_is_in_order_where_a_good_board_shows_it():
    judged = judge("OL", mode="ohms", low=None, high=None, expected_special="OL")
    assert (judged.word, judged.result, judged.shown) == ("ok", "ok", "OL")


@pytest.mark.parametrize("low, high, prefix", [
    (None, "0.002", "m"), ("0.43", "0.47", ""), ("4700", None, "k"), ("1", "2000000", "M"), (None, None, ""), ("0", "0", ""),
])  # fmt: skip
def test_limits_are_said_in_a_prefix_that_people_read(low, high, prefix):
    assert prefix_for(low and Decimal(low), high and Decimal(high)) == prefix
