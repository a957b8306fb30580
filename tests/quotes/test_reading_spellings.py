"""The spellings of a bench: each has one meaning that is said, or is refused."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.bench_states import class_of
from quotes.reading_text import BLACK, RED, UNITS, ReadingError, parse_reading
from quotes.reading_values import PREFIXES
from quotes.reading_words import amount

WAYS = {"ohms": "r", "volts": "v", "amps": "a", "hertz": "hz", "diode": "d"}


@pytest.mark.parametrize(
    ("line", "point", "mode", "value"),
    [
        ("C12 R47", "C12", "ohms", "0.47"),
        ("C12 r R47", "C12", "ohms", "0.47"),
        ("boost out d.452", "boost out", "diode", "0.452"),
        ("boost out d0,452", "boost out", "diode", "0.452"),
        ("boost out r4k7", "boost out", "ohms", "4700"),
        ("VBUS v=1.8", "VBUS", "volts", "1.8"),
        ("VBUS: v 1.8", "VBUS", "volts", "1.8"),
        ("VBUS mV 452", "VBUS", "volts", "0.452"),
        ("crystal kHz 32.768", "crystal", "hertz", "32768"),
        ("main rail kohm 4.7", "main rail", "ohms", "4700"),
        ("main rail 4.7 k ohm", "main rail", "ohms", "4700"),
        ("main rail 4k7 ohm", "main rail", "ohms", "4700"),
        ("main rail r 12.0M", "main rail", "ohms", "12000000"),
        ("rail -0.7 v", "rail", "volts", "-0.7"),
        ("rail \u22120.7 V", "rail", "volts", "-0.7"),
        ("rail \u20130.7 V", "rail", "volts", "-0.7"),
        ("rail 0.3 \u2126", "rail", "ohms", "0.3"),
        ("chip 41C", "chip", "celsius", "41"),
        ("bias .452 d", "bias", "diode", "0.452"),
        (".452 d boost out", "boost out", "diode", "0.452"),
        (".452 d boost out 2", "boost out 2", "diode", "0.452"),
        ("5V rail 4.9V", "5V rail", "volts", "4.9"),
        ("5 V rail 4.9V", "5 V rail", "volts", "4.9"),
        ("J4 pin 3 120mA", "J4 pin 3", "amps", "0.12"),
        ("supply 4u7 A", "supply", "amps", "0.0000047"),
    ],
)
def test_a_spelling_of_the_bench_is_understood(line, point, mode, value):
    read = parse_reading(line)
    assert (read.point, read.mode, read.value) == (point, mode, D(value))


@pytest.mark.parametrize(
    ("line", "mode", "special"),
    [
        ("bias d O.L", "diode", "OL"),
        ("bias OL d", "diode", "OL"),
        ("wire no beep", "continuity", "OL"),
        ("wire nobeep", "continuity", "OL"),
        ("OL d bias", "diode", "OL"),
    ],
)
def test_a_word_of_its_own_in_any_place(line, mode, special):
    read = parse_reading(line)
    assert (read.mode, read.special, read.value) == (mode, special, None)


@pytest.mark.parametrize(
    ("line", "polarity"),
    [
        ("boost out d rg .452", RED),
        ("boost out rg .452", RED),
        ("boost out bg .452", BLACK),
        ("boost out bg d .452", BLACK),
        ("boost out d black .452", BLACK),
        ("boost out diode red on ground .452", RED),
        ("boost out .452 d bg", BLACK),
        ("boost out db bg .452", BLACK),
    ],
)
def test_the_lead_on_ground_is_read(line, polarity):
    read = parse_reading(line)
    assert (read.point, read.mode, read.polarity, read.value) == ("boost out", "diode", polarity, D("0.452"))
    assert polarity in read.understood


@pytest.mark.parametrize(
    ("line", "state", "volts", "amps", "point"),
    [
        ("PP1V8 on 3.8V 1A v 1.79", "on supply", "3.8", "1", "PP1V8"),
        ("PP1V8 v 1.79 on 3.8 V 500 mA", "on supply", "3.8", "0.5", "PP1V8"),
        ("PP1V8 on 3.8V limit 1A v 1.79", "on supply", "3.8", "1", "PP1V8"),
        ("supply on 4.2V 120mA", "on supply", "4.2", None, "supply"),
        ("booted PP1V8 v 1.79", "booted", None, None, "PP1V8"),
        ("PP1V8 booted v 1.79", "booted", None, None, "PP1V8"),
        ("PP1V8 v 1.79 booted", "booted", None, None, "PP1V8"),
        ("PP1V8 r 300 off", "unpowered", None, None, "PP1V8"),
        ("PP1V8 battery out r 300", "unpowered", None, None, "PP1V8"),
        ("LED on 3.3V", "", None, None, "LED on"),
        ("LED off v 0", "", None, None, "LED off"),
    ],
)
def test_the_state_is_taken_out_of_the_line(line, state, volts, amps, point):
    read = parse_reading(line)
    numbers = (None if volts is None else D(volts), None if amps is None else D(amps))
    assert (read.state, (read.supply_volts, read.supply_amps), read.point) == (state, numbers, point)
    assert state in read.understood


@pytest.mark.parametrize(
    ("line", "note"),
    [
        ("x r 3m", "m is read as milli."),
        ("x r 3M", "M is read as mega."),
        ("x hz 24m", "m is read as mega."),
        ("x v 900M", "M is read as milli."),
        ("x 84.2mΩ", "m is read as milli."),
        ("x v 1,234", "The comma is read as the decimal point."),
        ("x R47", "R47 is read as 0.47 ohm."),
        ("x d.452", "d.452 is read as d .452."),
        (".452 d x", "The value is read from the front."),
        ("x v 1.79 on 3.8V 1A", "on supply at 3.8 V, limit 1 A"),
    ],
)
def test_what_was_decided_is_said(line, note):
    assert note in parse_reading(line).understood


def test_a_plain_milliampere_needs_no_word():
    assert parse_reading("supply 120mA").understood == "supply: amps, 120 milliampere."


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("rail 1 234,5 V", "one number or a name and a number"),
        ("rail v 1,234.5", "one meaning"),
        ("rail v 1.234,5", "one meaning"),
        ("rail r47", "could be 0.47 ohm or 47 ohm"),
        ("5V rail", "put it at the end"),
        ("5 V rail", "put it at the end"),
        (".452 d R12 r 3", "two values"),
        ("boost black d .452", "Is black the lead on ground"),
        ("boost db rg .452", "contradict"),
        ("boost r bg 5", "belongs to diode"),
        ("boost v beep", "do not go together"),
        ("rail on 3.8V 1A r 3", "without a supply"),
        ("rail d .452 booted", "without a supply"),
        ("main rail 12.0M", "how it was measured"),
        ("supply a 0.4n", "finer than a reading is kept"),
        ("boost 4R7V", "not a value"),
    ],
)
def test_what_has_two_meanings_is_refused(line, words):
    with pytest.raises(ReadingError, match=words):
        parse_reading(line)


@given(
    st.sampled_from(sorted(WAYS)),
    st.sampled_from(sorted(PREFIXES)),
    st.decimals(0, 9999, places=3).map(lambda value: value.normalize() + 0),
)
def test_what_is_shown_reads_back(mode, prefix, typed):
    value = typed.scaleb(PREFIXES[prefix])
    if (
        value != value.quantize(D("1e-9"))
        or (prefix == "m" and mode == "hertz")
        or (prefix == "M" and mode != "hertz" and mode != "ohms")
    ):
        return  # Finer than it is kept, or a letter that this mode reads the other way: never shown so.
    shown = amount(value, "", prefix, UNITS[mode])
    read = parse_reading(f"TP {WAYS[mode]} {shown.replace(' ', '')}")
    assert (read.value, read.prefix, read.mode) == (value, prefix, mode)


@pytest.mark.parametrize(
    ("state", "mode", "name"),
    [
        ("", "ohms", "unpowered"),
        ("", "volts", ""),
        ("Battery out", "diode", "unpowered"),
        ("on supply, 3.8 V, 1 A", "volts", "supply"),
        ("3.8V 1A", "volts", "supply"),
        ("supply off", "volts", "unpowered"),
        ("battery out, on supply", "volts", "supply"),
        ("Booted", "volts", "booted"),
        ("not booted, on 4 V", "volts", "supply"),
        ("asleep", "volts", "asleep"),
    ],
)
def test_a_state_has_a_class(state, mode, name):
    assert class_of(state, mode) == name
