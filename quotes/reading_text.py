"""A reading from one typed line: where, how, how much. 'boost out d .452' is a whole record at the microscope.

The value stands last, the way it was measured before it, the rest is the test point; a value that stands first or is followed
by its way is taken where that has one meaning. Whatever was decided is said in `understood`. Spellings are common practice.
"""

import re
import unicodedata
from dataclasses import dataclass, replace
from decimal import Decimal

from quotes.bench_states import ALWAYS_UNPOWERED, UNPOWERED, State, class_of, states_in
from quotes.reading_values import (
    PREFIX_WORDS,
    SPECIALS,
    UNIT_MODES,
    Number,
    ReadingError,
    in_base,
    is_value,
    joined,
    meant,
    number_of,
    prefix_note,
)
from quotes.reading_ways import BLACK, RED, Way, way_before

__all__ = ["BLACK", "RED", "UNITS", "ReadingError", "ReadingLine", "parse_reading"]

UNITS = {
    "ohms": "ohm",
    "diode": "V",
    "volts": "V",
    "amps": "A",
    "hertz": "Hz",
    "celsius": "C",
    "continuity": "ohm",
}
_UNIT_WORDS = {"ohm": "ohm", "V": "volt", "A": "ampere", "Hz": "hertz", "C": "degrees Celsius"}
_BEEPS_IN = ("continuity", "ohms", "diode")
_WAY_AND_UNIT = re.compile(r"([nuµμmkMG])(V|A|ohms?|Ω|Hz)", re.IGNORECASE)
# 'd.452', 'v1.8', 'r4k7': with a point or a prefix inside, since C12, R47 and V8 are names.
_WAY_ATTACHED = re.compile(
    r"(db|dr|d|r|v|a|c|hz|t)([+-]?\d*[.,]\d+[a-zµμΩ]{0,4})|(r)([+-]?\d+k\d*)", re.IGNORECASE
)


@dataclass(frozen=True)
class ReadingLine:
    """What was understood. `value` is in the base unit (`unit`), None where `special` is 'OL', 'unstable' or 'beep'.

    mode: ohms, diode, volts, amps, continuity, hertz, celsius. `polarity` is filled in diode mode only. `prefix` is the one
    meant ('m' milli, 'M' mega), kept apart since a milliohm and a megohm look alike. `understood` says it all in words.
    `state` is what the line said of the supply, '' for nothing; then the volts and the limit in amperes where it named them.
    """

    point: str
    mode: str
    polarity: str
    value: Decimal | None
    special: str | None
    prefix: str
    unit: str
    understood: str
    state: str = ""
    supply_volts: Decimal | None = None
    supply_amps: Decimal | None = None


@dataclass(frozen=True)
class _Parted:
    """A line taken apart: the words of the point, the way, the word of the value, and what was decided."""

    point: list[str]
    way: Way
    value: str
    note: str = ""
    number: Number | None = None


def parse_reading(text: str) -> ReadingLine:
    """Read one line. Raises ReadingError with a sentence: no value, no test point, no mode, two values or two that contradict."""
    words = _words_of(text)
    if not words:
        raise ReadingError("Type where, how and how much, such as: boost out d .452")
    fault: ReadingError | None = None
    for rest, state in states_in(words):
        try:
            read = _read(rest, state)
        except ReadingError as error:
            fault = error
            continue
        if read.mode in ALWAYS_UNPOWERED and class_of(read.state, read.mode) != UNPOWERED:
            raise ReadingError(
                f"{read.mode.capitalize()} is measured without a supply. Change the way or the state."
            )
        return read
    assert fault is not None  # noqa: S101 -- for the type checker; there is always the way without a state
    raise fault


def _words_of(text: str) -> list[str]:
    plain = unicodedata.normalize("NFKC", text).replace("\u2212", "-").replace("=", " ")
    plain = re.sub(r"(?<!\S)[\u2010-\u2015](?=[\d.,])", "-", plain)
    words = (word.rstrip(",;:") for word in plain.split())
    return [word for word in words if word]


def _read(words: list[str], state: State) -> ReadingLine:
    parted = _unit_before(_parted(words))
    special = SPECIALS.get(parted.value.lower())
    number = None if special else parted.number or number_of(parted.value)
    mode = _mode(parted, special, number)
    if not parted.point:
        raise ReadingError("Say where it was measured, before the value.")
    point, unit, polarity = " ".join(parted.point), UNITS[mode], parted.way.polarity
    prefix = meant(number.letter, mode) if number else ""
    value = in_base(number, mode) if number else None
    shown = f"{number.value:f} {PREFIX_WORDS[prefix]}{_UNIT_WORDS[unit]}" if number else str(special)
    notes = [number.note, prefix_note(number, mode)] if number else []
    return ReadingLine(
        point, mode, polarity, value, special, prefix, unit,
        _said(point, [mode, polarity, state.said()], shown, [parted.note, *notes]),
        state.words, state.volts, state.amps,
    )  # fmt: skip


def _parted(words: list[str]) -> _Parted:
    """Find the value: at the end, with its way attached, before its way, or at the front before its way."""
    front, words = _value_first(words), joined(words)
    last = words[-1]
    if is_value(last):
        point, way = way_before(words[:-1])
        if front is None:
            return _Parted(point, way, last)
        if (
            way.mode
            or last.lower() == "nobeep"
            or (last.lower() not in SPECIALS and number_of(last).unit_mode)
        ):
            raise ReadingError(
                f"There are two values, {words[0][:20]} and {last[:20]}. Write one reading a line."
            )
        return front
    if attached := _WAY_ATTACHED.fullmatch(last):
        letter, rest = attached[1] or attached[3], attached[2] or attached[4]
        point, way = way_before([*words[:-1], letter])
        return _Parted(point, way, rest, f"{last} is read as {letter} {rest}.")
    return _value_before_way(words) or front or _no_value(words)


def _value_before_way(words: list[str]) -> _Parted | None:
    """'boost out .452 d': the way stands last."""
    rest, way = way_before(words)
    rest = joined(rest) if rest else rest
    return _Parted(rest[:-1], way, rest[-1]) if way.mode and rest and is_value(rest[-1]) else None


def _value_first(words: list[str]) -> _Parted | None:
    """'.452 d boost out'. Not in volts or amperes: '5 V rail' is the name of a rail."""
    if not is_value(words[0]):
        return None
    for size in (4, 3, 2, 1):
        group, point = words[1 : 1 + size], words[1 + size :]
        try:
            rest, way = way_before(group)
        except ReadingError:
            continue
        if point and not rest and way.mode not in ("", "volts", "amps"):
            return _Parted(point, way, words[0], "The value is read from the front.")
    return None


def _no_value(words: list[str]) -> _Parted:
    """Raises ReadingError: the last word is no value, and the first only looks like one."""
    last = words[-1]
    if len(words) > 1 and is_value(words[0]):
        raise ReadingError(f"{last[:20]!r} is not a value. If {words[0][:20]} is it, put it at the end.")
    number_of(last)
    raise AssertionError("a word that is no value is refused above")


def _unit_before(parted: _Parted) -> _Parted:
    """'rail mV 452': the unit stands before a bare number, in the place of the way."""
    unit = _WAY_AND_UNIT.fullmatch(parted.point[-1]) if parted.point and not parted.way.mode else None
    if unit is None or parted.value.lower() in SPECIALS:
        return parted
    bare = number_of(parted.value)
    if bare.letter or bare.unit_mode:
        return parted
    number = replace(bare, letter=unit[1], unit_mode=UNIT_MODES[unit[2].lower()], unit_typed=True)
    return replace(parted, point=parted.point[:-1], number=number)


def _mode(parted: _Parted, special: str | None, number: Number | None) -> str:
    """The mode said, or the one that the value's unit leaves no doubt about. Raises ReadingError for none, or for two."""
    said, by_unit = parted.way.mode, number.unit_mode if number else None
    if said:
        shows = "volts" if said == "diode" else "ohms" if said == "continuity" else said
        if by_unit and by_unit != shows:
            raise ReadingError(f"{said} and a value in {by_unit} do not go together. Change one of them.")
        if special == "beep" and said not in _BEEPS_IN:
            raise ReadingError(f"{said} and a beep do not go together. Change one of them.")
        return said
    if by_unit:
        return by_unit
    if special == "beep" or parted.value.lower() in ("nobeep", "no-beep"):
        return "continuity"
    if number and number.letter in ("k", "K", "G"):
        return "ohms"
    raise ReadingError("Say how it was measured, before the value: d or db (diode), r, v, a, c, hz or t.")


def _said(point: str, how: list[str], shown: str, notes: list[str]) -> str:
    what = {"OL": "over limit (OL)", "beep": "it beeps", "unstable": "unstable"}.get(shown, shown)
    whole = f"{point}: {', '.join(part for part in how if part)}, {what}."
    return " ".join([whole, *(note for note in notes if note)])
