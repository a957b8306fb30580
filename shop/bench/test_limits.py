"""A value typed into a row of the test sheet, judged by the row's limits. Pure: text and numbers in, words out."""

from dataclasses import dataclass
from decimal import Decimal

from quotes import verdicts
from quotes.reading_text import RED, ReadingError, ReadingLine, parse_reading
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


def read_value(typed: str, *, mode: str, polarity: str = "") -> ReadingLine:
    """'.452', or 'd .452', for a row whose mode is known. Raises ReadingError with a sentence."""
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
) -> Judged:
    """Read and judge. `low` and `high` are inclusive, in the base unit of the mode. Raises ReadingError."""
    read = read_value(typed, mode=mode, polarity=polarity)
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
