"""A value typed into a row of the test sheet, judged by the row's limits. Pure: text and numbers in, words out."""

import re
from dataclasses import dataclass
from decimal import Decimal

from quotes import verdicts
from quotes.reading_text import RED, UNITS, ReadingError, ReadingLine, parse_reading
from quotes.reading_words import amount

_HERE = "here"
# How each mode is said in the line of a reading.
_WAYS = {
    "ohms": "r",
    "diode": "d",
    "volts": "v",
    "amps": "a",
    "continuity": "c",
    "hertz": "hz",
    "celsius": "t",
}
_BARE = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")
# A meter's diode range shows volts: .452 beside limits in mV is not half a millivolt. Common practice, no source.
_AS_THE_METER_SHOWS = re.compile(r"[+-]?0?[.,]\d+")
OUT = {verdicts.LOW, verdicts.HIGH, verdicts.SHORT, verdicts.OPEN, verdicts.UNSTABLE}
"""The verdicts that say a reading is not in order."""


@dataclass(frozen=True)
class Judged:
    """`shown` is the value as people read it, `word` the verdict, `why` one sentence, `result` the proposal: ok, bad or ""."""

    read: ReadingLine
    shown: str
    word: str
    why: str

    @property
    def result(self) -> str:
        return "bad" if self.word in OUT else "ok" if self.word == verdicts.OK else ""


def way_of(mode: str, polarity: str = "") -> str:
    """The word that says a mode in a typed line; diode with black on ground has its own."""
    if mode == "diode" and polarity and polarity != RED:
        return "db"
    return _WAYS.get(mode, "v")


def read_value(typed: str, *, mode: str, polarity: str = "", prefix: str = "") -> ReadingLine:
    """'.452', or 'd .452', for a row whose mode is known. Raises ReadingError with a sentence.

    A bare number is in the unit in which the row's limits are said: `prefix` before the unit of the mode.
    """
    typed = _in_the_unit_of_the_limits(typed, mode, prefix)
    read = _at_this_row(f"{way_of(mode, polarity)} {typed}")
    if read is None and len(typed.split()) == 1:
        # A single word is a value or a fault that the line's own reader says best.
        read = parse_reading(f"{_HERE} {way_of(mode, polarity)} {typed}")
    # The mode may have been typed too; anything else before the value is a place, and the row has one.
    read = read or _at_this_row(typed)
    if read is None:
        raise ReadingError("Type the value alone, such as .452 or OL.")
    if read.mode != mode or (polarity and read.polarity != polarity):
        raise ReadingError(f"This row is measured in {mode}{f', {polarity}' if polarity else ''}.")
    return read


def _in_the_unit_of_the_limits(typed: str, mode: str, prefix: str) -> str:
    words = typed.split()
    if not (prefix and words and _BARE.fullmatch(words[-1])):
        return typed
    if mode == "diode" and _AS_THE_METER_SHOWS.fullmatch(words[-1]):
        return typed
    return " ".join([*words[:-1], f"{words[-1]}{prefix}{UNITS[mode]}"])


def _at_this_row(text: str) -> ReadingLine | None:
    try:
        read = parse_reading(f"{_HERE} {text}")
    except ReadingError:
        return None
    return read if read.point == _HERE else None


def judge(
    typed: str,
    *,
    mode: str,
    polarity: str = "",
    low: Decimal | None,
    high: Decimal | None,
    expected_special: str = "",
    expected_from: str = "",
    prefix: str = "",
) -> Judged:
    """Read and judge. `low` and `high` are inclusive, in the base unit of the mode. Raises ReadingError.

    `prefix` is the one the limits are said in, and a bare number with them.
    """
    read = read_value(typed, mode=mode, polarity=polarity, prefix=prefix)
    verdict = verdicts.propose_verdict(
        read.value,
        read.special,
        low,
        high,
        mode=mode,
        expected_special=expected_special or None,
        expected_from=expected_from,
    )
    return Judged(
        read, amount(read.value, read.special or "", read.prefix, read.unit), verdict.word, verdict.why
    )


def prefix_for(low: Decimal | None, high: Decimal | None) -> str:
    """The prefix in which limits are said: '' from a tenth to a thousand, m below, k and M above."""
    largest = max((abs(one) for one in (low, high) if one is not None), default=Decimal(1))
    if 0 < largest < Decimal("0.1"):
        return "m"
    return "M" if largest >= 1_000_000 else "k" if largest >= 1000 else ""
