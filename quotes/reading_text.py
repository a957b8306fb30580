"""A reading from one typed line: where, how, how much. 'boost out d .452' is a whole record at the microscope.

The last word is the value, the word before it may say the mode, the rest is the test point. Spellings are common practice
(4k7 for 4.7 kilo-ohm is IEC 60062's, from memory).
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal

RED = "red on ground"
BLACK = "black on ground"

# Word before the value -> (mode, polarity).
_MODES: dict[str, tuple[str, str]] = {
    "d": ("diode", RED),
    "dr": ("diode", RED),
    "db": ("diode", BLACK),
    "diode": ("diode", RED),
    "r": ("ohms", ""),
    "ohm": ("ohms", ""),
    "ohms": ("ohms", ""),
    "v": ("volts", ""),
    "volt": ("volts", ""),
    "volts": ("volts", ""),
    "a": ("amps", ""),
    "amp": ("amps", ""),
    "amps": ("amps", ""),
    "c": ("continuity", ""),
    "cont": ("continuity", ""),
    "hz": ("hertz", ""),
    "f": ("hertz", ""),
    "t": ("celsius", ""),
    "temp": ("celsius", ""),
}

UNITS = {
    "ohms": "ohm",
    "diode": "V",
    "volts": "V",
    "amps": "A",
    "hertz": "Hz",
    "celsius": "C",
    "continuity": "ohm",
}

_UNIT_MODES = {
    "r": "ohms",
    "ohm": "ohms",
    "ohms": "ohms",
    "Ω": "ohms",
    "v": "volts",
    "a": "amps",
    "hz": "hertz",
    "c": "celsius",
    "°c": "celsius",
}

_PREFIXES = {"n": -9, "u": -6, "m": -3, "": 0, "k": 3, "M": 6, "G": 9}
_PREFIX_WORDS = {"n": "nano", "u": "micro", "m": "milli", "": "", "k": "kilo", "M": "mega", "G": "giga"}
_UNIT_WORDS = {"ohm": "ohm", "V": "volt", "A": "ampere", "Hz": "hertz", "C": "degrees Celsius"}

_SPECIALS = {
    "ol": "OL",
    "o.l": "OL",
    "o.l.": "OL",
    "0l": "OL",
    "0.l": "OL",
    "open": "OL",
    "unstable": "unstable",
    "jumps": "unstable",
    "beep": "beep",
    "nobeep": "OL",
    "no-beep": "OL",
}

_UNIT = r"(?:ohms?|Ω|R|V|A|Hz|°?C)"
_PLAIN = re.compile(rf"([+-]?)(\d+(?:[.,]\d*)?|[.,]\d+)([nuµμmkKMG]?)({_UNIT})?", re.IGNORECASE)
_LETTER_AS_POINT = re.compile(r"([+-]?)(\d+)([kKmMGrRvVaA])(\d+)(?:ohms?|Ω)?")
_UNIT_ALONE = re.compile(rf"[nuµμmkMG]?{_UNIT}|[kKmM]", re.IGNORECASE)


class ReadingError(ValueError):
    """The line is not understood; the message is a sentence to show beside the field."""


@dataclass(frozen=True)
class ReadingLine:
    """What was understood. `value` is in the base unit (`unit`), None where `special` is 'OL', 'unstable' or 'beep'.

    mode: ohms, diode, volts, amps, continuity, hertz, celsius. `polarity` is filled in diode mode only. `prefix` is the one
    meant ('m' milli, 'M' mega), kept apart since a milliohm and a megohm look alike. `understood` says it all in words.
    """

    point: str
    mode: str
    polarity: str
    value: Decimal | None
    special: str | None
    prefix: str
    unit: str
    understood: str


@dataclass(frozen=True)
class _Number:
    value: Decimal
    prefix: str
    unit_mode: str | None


def parse_reading(text: str) -> ReadingLine:
    """Read one line. Raises ReadingError with a sentence: no value, no test point, no mode, or two that contradict."""
    words = unicodedata.normalize("NFKC", text).replace("\u2212", "-").split()
    if not words:
        raise ReadingError("Type where, how and how much, such as: boost out d .452")
    words = _joined(words)
    special = _SPECIALS.get(words[-1].lower())
    number = None if special else _number(words[-1])
    words, mode, polarity = _mode_of(words[:-1], special, number)
    if not words:
        raise ReadingError("Say where it was measured, before the value.")
    unit = UNITS[mode]
    point = " ".join(words)
    if number is None:
        return ReadingLine(
            point, mode, polarity, None, special, "", unit, _words(point, mode, polarity, str(special))
        )
    prefix = _meant(number.prefix, mode)
    value = _in_range(number.value.scaleb(_PREFIXES[prefix]), mode)
    shown = f"{number.value:f} {_PREFIX_WORDS[prefix]}{_UNIT_WORDS[unit]}"
    return ReadingLine(point, mode, polarity, value, None, prefix, unit, _words(point, mode, polarity, shown))


def _joined(words: list[str]) -> list[str]:
    """'1,8 V' and 'no beep' are one value each."""
    if len(words) > 1 and [word.lower() for word in words[-2:]] == ["no", "beep"]:
        return [*words[:-2], "nobeep"]
    if len(words) > 1 and _UNIT_ALONE.fullmatch(words[-1]) and re.fullmatch(r"[+-]?[\d.,]+", words[-2]):
        return [*words[:-2], words[-2] + words[-1]]
    return words


def _number(word: str) -> _Number:
    letter = _LETTER_AS_POINT.fullmatch(word)
    if letter:
        sign, whole, mark, rest = letter.groups()
        value = Decimal(f"{sign}{whole}.{rest}")
        if mark in "rRvVaA":
            return _Number(value, "", _UNIT_MODES[mark.lower()])
        return _Number(value, mark, None)
    plain = _PLAIN.fullmatch(word)
    if plain is None:
        raise ReadingError(f"{word[:20]!r} is not a value. Write a number, OL, beep or unstable at the end.")
    sign, digits, prefix, unit = plain.groups()
    unit_mode = _UNIT_MODES.get((unit or "").lower()) or (_UNIT_MODES.get(unit) if unit else None)
    return _Number(Decimal(f"{sign}{digits.replace(',', '.')}"), prefix, unit_mode)


def _mode_of(words: list[str], special: str | None, number: _Number | None) -> tuple[list[str], str, str]:
    """The words left for the test point, the mode and the polarity."""
    said = _MODES.get(words[-1].lower()) if words else None
    by_unit = number.unit_mode if number else None
    if said:
        mode, polarity = said
        shows = "volts" if mode == "diode" else "ohms" if mode == "continuity" else mode
        if by_unit and by_unit != shows:
            raise ReadingError(f"{mode} and a value in {by_unit} do not go together. Change one of them.")
        return words[:-1], mode, polarity
    if by_unit:
        return words, by_unit, ""
    if special == "beep":
        return words, "continuity", ""
    if number and number.prefix in ("k", "K", "G"):
        return words, "ohms", ""
    raise ReadingError("Say how it was measured, before the value: d or db (diode), r, v, a, c, hz or t.")


def _meant(prefix: str, mode: str) -> str:
    """Only ohms have both milli and mega on a board; elsewhere the mode decides, whichever case was typed."""
    prefix = {"K": "k", "µ": "u", "μ": "u", "U": "u", "N": "n", "g": "G"}.get(prefix, prefix)
    if prefix in ("m", "M") and mode != "ohms":
        return "M" if mode == "hertz" else "m"
    return prefix


def _in_range(value: Decimal, mode: str) -> Decimal:
    if value < 0 and mode not in ("volts", "amps", "celsius"):
        raise ReadingError(f"A reading in {mode} cannot be below nought.")
    if abs(value) >= Decimal(10) ** 15:
        raise ReadingError("That value is too large to be a reading.")
    return value.quantize(Decimal("1e-9")).normalize() + 0


def _words(point: str, mode: str, polarity: str, shown: str) -> str:
    how = f"{mode}, {polarity}" if polarity else mode
    what = {"OL": "over limit (OL)", "beep": "it beeps", "unstable": "unstable"}.get(shown, shown)
    return f"{point}: {how}, {what}."
