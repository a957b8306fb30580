"""One line at the microscope: understood in full, or refused with a sentence."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.reading_text import BLACK, RED, ReadingError, parse_reading


@pytest.mark.parametrize(
    ("line", "point", "mode", "value", "prefix"),
    [
        ("boost out r 4k7", "boost out", "ohms", "4700", "k"),
        ("boost out 4k7", "boost out", "ohms", "4700", "k"),
        ("C12 r 4R7", "C12", "ohms", "4.7", ""),
        ("C12 0R3", "C12", "ohms", "0.3", ""),
        ("main rail 0.3 ohm", "main rail", "ohms", "0.3", ""),
        ("main rail 84.2mΩ", "main rail", "ohms", "0.0842", "m"),
        ("main rail r 3m", "main rail", "ohms", "0.003", "m"),
        ("main rail r 3M", "main rail", "ohms", "3000000", "M"),
        ("main rail 1M5", "main rail", None, None, None),
        ("main rail r 1M5", "main rail", "ohms", "1500000", "M"),
        ("main rail r 1.2K", "main rail", "ohms", "1200", "k"),
        ("VBUS 1.8V", "VBUS", "volts", "1.8", ""),
        ("VBUS 1,8 V", "VBUS", "volts", "1.8", ""),
        ("VBUS v 1,8", "VBUS", "volts", "1.8", ""),
        ("VBUS 1V8", "VBUS", "volts", "1.8", ""),
        ("VBUS v 900M", "VBUS", "volts", "0.9", "m"),
        ("VBUS -0.3V", "VBUS", "volts", "-0.3", ""),
        ("supply 120mA", "supply", "amps", "0.12", "m"),
        ("supply 120 mA", "supply", "amps", "0.12", "m"),
        ("supply a 50µ", "supply", "amps", "0.00005", "u"),
        ("crystal hz 24m", "crystal", "hertz", "24000000", "M"),
        ("crystal 32.768kHz", "crystal", "hertz", "32768", "k"),
        ("chip t 61", "chip", "celsius", "61", ""),
        ("chip 61 °C", "chip", "celsius", "61", ""),
        ("J4 pin 3 d .452", "J4 pin 3", "diode", "0.452", ""),
        ("J4 pin 3 d 452m", "J4 pin 3", "diode", "0.452", "m"),
        ("J4 pin 3 d 0.452V", "J4 pin 3", "diode", "0.452", ""),
    ],
)
def test_a_number_is_read_in_its_base_unit(line, point, mode, value, prefix):
    if mode is None:
        with pytest.raises(ReadingError):
            parse_reading(line)
        return
    read = parse_reading(line)
    assert (read.point, read.mode, read.value, read.prefix, read.special) == (
        point,
        mode,
        D(value),
        prefix,
        None,
    )


@pytest.mark.parametrize(
    ("line", "mode", "special"),
    [
        ("bias d OL", "diode", "OL"),
        ("bias d ol", "diode", "OL"),
        ("bias db 0L", "diode", "OL"),
        ("bias r open", "ohms", "OL"),
        ("wire beep", "continuity", "beep"),
        ("wire c beep", "continuity", "beep"),
        ("wire c no beep", "continuity", "OL"),
        ("rail v unstable", "volts", "unstable"),
    ],
)
def test_what_is_no_number_keeps_its_own_word(line, mode, special):
    read = parse_reading(line)
    assert (read.mode, read.special, read.value) == (mode, special, None)


def test_the_brief_line_is_a_whole_record():
    read = parse_reading("boost out d .452")
    assert read.polarity == RED
    assert read.unit == "V"
    assert read.understood == "boost out: diode, red on ground, 0.452 volt."


def test_polarity_is_said_in_diode_mode_and_only_there():
    assert parse_reading("x db .5").polarity == BLACK
    assert "black on ground" in parse_reading("x db .5").understood
    assert parse_reading("x r 5").polarity == ""


@pytest.mark.parametrize(
    ("line", "word"), [("x r 3m", "3 milliohm"), ("x r 3M", "3 megaohm"), ("x hz 3m", "3 megahertz")]
)
def test_milli_and_mega_are_said_in_words(line, word):
    assert word in parse_reading(line).understood


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("", "where, how and how much"),
        ("   ", "where, how and how much"),
        ("boost out", "not a value"),
        ("boost out .452", "how it was measured"),
        ("boost out OL", "how it was measured"),
        ("d .452", "where it was measured"),
        ("1.8V", "where it was measured"),
        ("boost r 1.8V", "do not go together"),
        ("boost d 4.7ohm", "do not go together"),
        ("boost r -5", "below nought"),
        ("boost d -0.4", "below nought"),
        ("boost r 1e5", "not a value"),
        ("boost r NaN", "not a value"),
        ("boost r 1.2.3", "not a value"),
        ("boost r 99999999999999G", "too large"),
    ],
)
def test_what_is_not_understood_is_refused_with_a_sentence(line, words):
    with pytest.raises(ReadingError, match=words):
        parse_reading(line)


@given(st.text(max_size=40))
def test_nothing_typed_breaks_it(text):
    try:
        read = parse_reading(text)
    except ReadingError:
        return
    assert (read.value is None) != (read.special is None)
    assert (read.mode == "diode") == bool(read.polarity)
    assert read.point


@given(st.decimals(0, 9999, places=3))
def test_a_number_reads_back(value):
    assert parse_reading(f"rail v {value}").value == value
    assert parse_reading(f"rail {str(value).replace('.', ',')} V").value == value
