"""How the board stood while it was measured: what a line says of it, and the three classes that readings compare within. Pure.

unpowered (no supply, battery out), supply (fed, not started), booted (running). Anything else is a class by its own words.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

from quotes.reading_values import ReadingError, in_base, number_of

UNPOWERED, SUPPLY, BOOTED = "unpowered", "supply", "booted"
# These send their own current through the board: they are only taken without another.
ALWAYS_UNPOWERED = ("ohms", "diode", "continuity")

_CLASSES = (
    (UNPOWERED, re.compile(r"\b(?:unpowered|off|no power|no supply)\b")),
    (BOOTED, re.compile(r"(?<!not )\b(?:booted|running)\b")),
    (SUPPLY, re.compile(r"\b(?:supply|fed|on)\b|\d\s*v\b")),
    (UNPOWERED, re.compile(r"\b(?:battery|cell) out\b")),
)
_AT_AN_END: dict[tuple[str, ...], str] = {("off",): UNPOWERED}
_PLAIN_WORDS: dict[tuple[str, ...], str] = {
    ("unpowered",): UNPOWERED,
    ("battery", "out"): UNPOWERED,
    ("booted",): BOOTED,
    ("on", "supply"): "on supply",
}


@dataclass(frozen=True)
class State:
    """What a line said of the supply: `words` such as 'on supply', the volts and the limit in amperes where they were said."""

    words: str = ""
    volts: Decimal | None = None
    amps: Decimal | None = None

    def said(self) -> str:
        """'on supply at 3.8 V, limit 1 A', 'booted' or ''."""
        at = f" at {self.volts:f} V" if self.volts is not None else ""
        limit = f", limit {self.amps:f} A" if self.amps is not None else ""
        return f"{self.words}{at}{limit}"


def class_of(state: str, mode: str) -> str:
    """The class of a state as it was typed; an empty one is unpowered where the mode leaves no choice, else ''."""
    said = " ".join(state.casefold().split())
    if not said:
        return UNPOWERED if mode in ALWAYS_UNPOWERED else ""
    for name, words in _CLASSES:
        if words.search(said):
            return name
    return said


def states_in(words: list[str]) -> list[tuple[list[str], State]]:
    """Each way to take a state out of a line, the fullest first; the last is to take none.

    'on 3.8V 1A' may stand anywhere; 'booted', 'unpowered', 'battery out' at an end or before the way it was measured;
    'off' at an end only, since points are called so.
    """
    found = [_supply(words, spot) for spot, word in enumerate(words) if word.lower() == "on"]
    ways = [way for several in found for way in several]
    for phrase, state in {**_PLAIN_WORDS, **_AT_AN_END}.items():
        ways += [(words[:spot] + words[spot + len(phrase) :], State(state)) for spot in _spots(words, phrase)]
    return [*ways, (words, State())]


def _spots(words: list[str], phrase: tuple[str, ...]) -> list[int]:
    length, low = len(phrase), tuple(word.lower() for word in words)
    ends = {0, len(words) - length}
    if phrase not in _AT_AN_END:
        # Before the value, or before the way and the value.
        ends |= {len(words) - length - back for back in (1, 2)}
    return sorted(spot for spot in ends if spot >= 0 and low[spot : spot + length] == phrase)


def _supply(words: list[str], spot: int) -> list[tuple[list[str], State]]:
    """'on 3.8V 1A' or 'on 3.8V' from the word 'on' on; [] where no volts follow."""
    volts, after = _in(words, spot + 1, "volts")
    if volts is None:
        return []
    short = (words[:spot] + words[after:], State("on supply", volts))
    limit = after + 1 if words[after : after + 1] and words[after].lower() in ("limit", "max") else after
    amps, end = _in(words, limit, "amps")
    if amps is None:
        return [short]
    return [(words[:spot] + words[end:], State("on supply", volts, amps)), short]


def _in(words: list[str], spot: int, mode: str) -> tuple[Decimal | None, int]:
    """The value at a place where its unit is the mode's own ('3.8V' or '3.8 V'), and the place after it."""
    for size in (1, 2):
        try:
            number = number_of("".join(words[spot : spot + size]))
            if number.unit_mode == mode and len(words) >= spot + size:
                return in_base(number, mode), spot + size
        except ReadingError:
            continue
    return None, spot
