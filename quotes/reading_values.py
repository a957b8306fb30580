"""The value at the end of a typed reading: a number with its prefix and unit, or a word of its own. Pure.

4k7 for 4.7 kilo-ohm and R47 for 0.47 ohm are IEC 60062's, from memory; the other spellings are common practice, no source.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

PREFIXES = {"n": -9, "u": -6, "m": -3, "": 0, "k": 3, "M": 6, "G": 9}
PREFIX_WORDS = {"n": "nano", "u": "micro", "m": "milli", "": "", "k": "kilo", "M": "mega", "G": "giga"}
UNIT_MODES = {
    "r": "ohms",
    "ohm": "ohms",
    "ohms": "ohms",
    "ω": "ohms",
    "v": "volts",
    "volt": "volts",
    "volts": "volts",
    "a": "amps",
    "amp": "amps",
    "amps": "amps",
    "hz": "hertz",
    "c": "celsius",
    "°c": "celsius",
}
_ONE_SPELLING = {"K": "k", "µ": "u", "μ": "u", "U": "u", "N": "n", "g": "G"}

SPECIALS = {
    **dict.fromkeys(("ol", "o.l", "o.l.", "o/l", "0l", "0.l", "0.l.", "open", "∞", "inf"), "OL"),
    **dict.fromkeys(("unstable", "jumps", "drifts"), "unstable"),
    **dict.fromkeys(("beep", "beeps"), "beep"),
    **dict.fromkeys(("nobeep", "no-beep"), "OL"),
}

_UNIT = r"(?:ohms?|Ω|R|volts?|V|amps?|A|Hz|°?C)"
_PREFIX = r"[nuµμmkMG]"
_PLAIN = re.compile(rf"([+-]?)(\d+(?:[.,]\d*)?|[.,]\d+)({_PREFIX}?)({_UNIT})?", re.IGNORECASE)
_LETTER_AS_POINT = re.compile(rf"([+-]?)(\d+)([kKmMGrRvVaAnuUµμ])(\d+)({_UNIT})?", re.IGNORECASE)
_R_FIRST = re.compile(r"R(\d{1,3})(?:ohms?|Ω)?")
_UNIT_ALONE = re.compile(rf"{_PREFIX}?{_UNIT}|[kKmM]", re.IGNORECASE)
_BARE = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+|\d+[kKmMRr]\d+)")
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(?:[.,'’]\d{3})+(?:[.,]\d+)?\D*")
_GROUP_OF_THREE = re.compile(r"\d{3}(?:[.,]\d*)?(?:\D.*)?")
_NUMBERED = ("pin", "pad", "ball", "leg", "tp", "point", "contact", "via", "no", "row", "pole")
_LONGEST = 24


class ReadingError(ValueError):
    """The line is not understood; the message is a sentence to show beside the field."""


@dataclass(frozen=True)
class Number:
    """A number as typed: `value` before its prefix; `letter` the prefix in the case it was typed with, '' for none.

    `unit_mode` is the mode its unit shows, None without one; `unit_typed` says whether a unit stood behind the prefix.
    `note` is a sentence about what was decided, or ''.
    """

    value: Decimal
    letter: str = ""
    unit_mode: str | None = None
    unit_typed: bool = False
    note: str = ""


def number_of(word: str) -> Number:
    """Read one word as a number. Raises ReadingError with a sentence."""
    if len(word) <= _LONGEST:
        for read in (_plain, _with_letter, _with_r_first):
            number = read(word)
            if number is not None:
                return number
    if re.fullmatch(r"r\d{1,3}", word):
        raise ReadingError(
            f"{word} could be 0.{word[1:]} ohm or {word[1:]} ohm. Write r {word[1:]}, or R{word[1:]}."
        )
    if _THOUSANDS.fullmatch(word):
        raise ReadingError(
            f"{word[:20]!r} is not a value with one meaning. Write one decimal point and no signs for thousands."
        )
    raise ReadingError(f"{word[:20]!r} is not a value. Write a number, OL, beep or unstable at the end.")


def is_value(word: str) -> bool:
    """Whether a word can be read as a value at all."""
    if word.lower() in SPECIALS:
        return True
    try:
        number_of(word)
    except ReadingError:
        return False
    return True


def _plain(word: str) -> Number | None:
    found = _PLAIN.fullmatch(word)
    if found is None:
        return None
    sign, digits, letter, unit = found.groups()
    comma = re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits)
    return Number(
        Decimal(f"{sign}{digits.replace(',', '.')}"),
        letter,
        UNIT_MODES.get((unit or "").lower()),
        bool(unit),
        "The comma is read as the decimal point." if comma else "",
    )


def _with_letter(word: str) -> Number | None:
    """4k7, 4R7, 1V8: the letter stands where the point would."""
    found = _LETTER_AS_POINT.fullmatch(word)
    if found is None:
        return None
    sign, whole, letter, rest, unit = found.groups()
    value, shown = Decimal(f"{sign}{whole}.{rest}"), UNIT_MODES.get((unit or "").lower())
    if letter in "rRvVaA":
        by_letter = UNIT_MODES[letter.lower()]
        return None if shown not in (None, by_letter) else Number(value, "", by_letter, True)
    return Number(value, letter, shown, bool(unit))


def _with_r_first(word: str) -> Number | None:
    """R47 is 0.47 ohm; it could be the name of a part as well, so it is said."""
    found = _R_FIRST.fullmatch(word)
    if found is None:
        return None
    value = Decimal(f"0.{found[1]}")
    return Number(value, "", "ohms", True, f"R{found[1]} is read as {value} ohm.")


def joined(words: list[str]) -> list[str]:
    """'1,8 V', '4.7 k ohm' and 'no beep' are one value each. Raises ReadingError for thousands set apart by a space."""
    if len(words) > 1 and [word.lower() for word in words[-2:]] == ["no", "beep"]:
        return [*words[:-2], "nobeep"]
    if len(words) > 2 and words[-2] in ("k", "K", "m", "M") and re.fullmatch(_UNIT, words[-1], re.IGNORECASE):
        words = [*words[:-2], words[-2] + words[-1]]
    if len(words) > 1 and _UNIT_ALONE.fullmatch(words[-1]) and _BARE.fullmatch(words[-2]):
        words = [*words[:-2], words[-2] + words[-1]]
    _no_thousands(words)
    return words


def _no_thousands(words: list[str]) -> None:
    """'1 234,5' is one number or a name and a number: nobody can say. 'pin 3 120mA' is plain."""
    if (
        len(words) < 2
        or not re.fullmatch(r"[+-]?\d{1,3}", words[-2])
        or not _GROUP_OF_THREE.fullmatch(words[-1])
    ):
        return
    if is_value(words[-1]) and not (len(words) > 2 and words[-3].lower().strip(".") in _NUMBERED):
        both = f"{words[-2]} {words[-1]}"
        raise ReadingError(
            f"{both[:24]!r} could be one number or a name and a number. Write it without the space, or the way between: r, v, a."
        )


def meant(letter: str, mode: str) -> str:
    """The prefix a letter means. Only ohms have both milli and mega on a board; elsewhere the mode decides, whichever case."""
    letter = _ONE_SPELLING.get(letter, letter)
    if letter in ("m", "M") and mode != "ohms":
        return "M" if mode == "hertz" else "m"
    return letter


def prefix_note(number: Number, mode: str) -> str:
    """'m is read as milli.' wherever the letter alone would leave a doubt."""
    if number.letter not in ("m", "M"):
        return ""
    prefix = meant(number.letter, mode)
    if number.unit_typed and mode != "ohms" and prefix == number.letter:
        return ""
    return f"{number.letter} is read as {PREFIX_WORDS[prefix]}."


def in_base(number: Number, mode: str) -> Decimal:
    """The number in the base unit. Raises ReadingError where it cannot be a reading, or is finer than one is kept."""
    if number.value < 0 and mode not in ("volts", "amps", "celsius"):
        raise ReadingError(f"A reading in {mode} cannot be below nought.")
    value = number.value.scaleb(PREFIXES[meant(number.letter, mode)])
    if abs(value) >= Decimal(10) ** 15:
        raise ReadingError("That value is too large to be a reading.")
    kept = value.quantize(Decimal("1e-9"))
    if kept != value:
        raise ReadingError("That is finer than a reading is kept: nine places in the base unit at most.")
    return kept.normalize() + 0
