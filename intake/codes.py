"""Numbers that people read out, type and scan: the order code, a device's IMEI, the payment reference.

Sources: check character of the order code by ISO/IEC 7064 MOD 37,36; IMEI by 3GPP TS 23.003 Annex B;
payment reference by ISO 11649; spelling words by the ICAO and ITU alphabet (from memory).
"""

import re
import secrets
import unicodedata
from dataclasses import dataclass
from typing import Protocol

from stdnum import imei
from stdnum.iso7064 import mod_37_36, mod_97_10

# Left out are 0 O Q, 1 I L, 2 Z, 5 S, 8 B, G, U V: each is taken for another on paper or on the phone.
ALPHABET = "ACDEFHJKMNPRTWXY34679"
BODY_LENGTH = 7
LENGTH = BODY_LENGTH + 1

# A scanner types keys, not letters. On a computer set to another keyboard the same keys give other signs:
# the German layout swaps Y and Z and gives ß for the dash, the French one moves A, W, M and all the digits.
# Values are what the scanner meant; an empty value is a dash.
_KEYBOARDS: tuple[dict[str, str], ...] = (
    {"Z": "Y", "ß": "", "?": ""},
    {
        "Q": "A",
        "Z": "W",
        "?": "M",
        ",": "M",
        '"': "3",
        "'": "4",
        "-": "6",
        "È": "7",
        "Ç": "9",
        ")": "",
        "°": "",
    },
)

# Taken for one another by eye or ear; used only to suggest, never to change what was typed.
_LOOKALIKES = {
    "0": "CD",
    "O": "CD",
    "Q": "CD",
    "1": "7TJ",
    "I": "JTY",
    "L": "EJ",
    "2": "7",
    "Z": "7",
    "5": "69F",
    "S": "FX",
    "8": "36",
    "B": "DEP3",
    "G": "C6",
    "U": "W",
    "V": "WYE",
}

_WORDS = {
    "A": "Alfa",
    "C": "Charlie",
    "D": "Delta",
    "E": "Echo",
    "F": "Foxtrot",
    "H": "Hotel",
    "J": "Juliett",
    "K": "Kilo",
    "M": "Mike",
    "N": "November",
    "P": "Papa",
    "R": "Romeo",
    "T": "Tango",
    "W": "Whiskey",
    "X": "X-ray",
    "Y": "Yankee",
    "3": "Three",
    "4": "Four",
    "6": "Six",
    "7": "Seven",
    "9": "Nine",
}


class Chooser(Protocol):
    """Anything that draws from a sequence: the `secrets` module, or a seeded `random.Random` in a test."""

    def choice(self, seq: str, /) -> str: ...


def new_code(rng: Chooser = secrets) -> str:
    """A fresh order code such as 'K7M4-3TX9': two groups of four, the last character a check character.

    About a thousand million codes exist; the caller still keeps a UNIQUE constraint. Drawn again until the
    check character is in the safe alphabet too and no word can be read in it.
    """
    while True:
        body = "".join(rng.choice(ALPHABET) for _ in range(BODY_LENGTH))
        code = body + mod_37_36.calc_check_digit(body)
        if code[-1] in ALPHABET and not re.search("[AE][A-Z]{2}|[A-Z][AE][A-Z]|[A-Z]{2}[AE]", code):
            return _grouped(code)


def normalise(text: str) -> str | None:
    """'XXXX-XXXX' from anything typed or scanned, or None where it cannot be an order code.

    Any case, any spaces, any dash; keys scanned on a computer with a German or French keyboard are read as the
    scanner meant them. The check character is not judged here: see `is_valid`.
    """
    shaped = [code for code in _readings(text) if len(code) == LENGTH and set(code) <= set(ALPHABET)]
    if not shaped:
        return None
    holding = [code for code in shaped if mod_37_36.is_valid(code)]
    return _grouped((holding or shaped)[0])


def is_valid(code: str) -> bool:
    """True where the text is an order code and its check character holds (ISO/IEC 7064 MOD 37,36)."""
    shaped = normalise(code)
    return shaped is not None and mod_37_36.is_valid(shaped.replace("-", ""))


def explain(text: str) -> str:
    """One clear sentence about what is wrong with a typed order code; empty where nothing is."""
    if is_valid(text):
        return ""
    typed = _plain(text)
    if not typed:
        return "Type the order code: eight letters and digits, such as on the label or in the letter."
    foreign = [sign for sign in typed if sign not in ALPHABET]
    if len(typed) == LENGTH and foreign:
        return _explain_foreign(typed, foreign)
    if len(typed) < LENGTH:
        return (
            f"An order code has eight characters. This one has {len(typed)}: {LENGTH - len(typed)} missing."
        )
    if len(typed) > LENGTH:
        return (
            f"An order code has eight characters. This one has {len(typed)}: {len(typed) - LENGTH} too many."
        )
    swapped = _swapped_neighbours(typed)
    if len(swapped) == 1:
        return (
            f"This code has a slip in it. Two neighbours may have changed places: did you mean {swapped[0]}?"
        )
    return "This code has a slip in it: one character is wrong, or two have changed places. Please compare it again."


def spoken(code: str) -> str:
    """The code as it is read out on the phone: 'Kilo, Seven, Mike, Four; Three, ...'.

    Raises ValueError where the text is not shaped like an order code. Words: ICAO and ITU spelling alphabet.
    """
    shaped = normalise(code)
    if shaped is None:
        raise ValueError("not an order code")
    return "; ".join(", ".join(_WORDS[sign] for sign in group) for group in shaped.split("-"))


def _grouped(code: str) -> str:
    return f"{code[:4]}-{code[4:]}"


def _plain(text: str) -> str:
    # ß goes first: its upper case is two letters, and it is a dash here.
    text = unicodedata.normalize("NFKC", text).replace("ß", "").replace("ẞ", "").upper()
    return "".join(sign for sign in text if sign.isalnum())


def _readings(text: str) -> list[str]:
    readings = [_plain(text)]
    raw = unicodedata.normalize("NFKC", text).strip()
    raw = "".join("ß" if sign in "ßẞ" else sign.upper() for sign in raw)
    for keyboard in _KEYBOARDS:
        meant = "".join(keyboard.get(sign, sign) for sign in raw)
        readings.append("".join(sign for sign in meant if sign.isalnum()))
    return readings


def _explain_foreign(typed: str, foreign: list[str]) -> str:
    sign = foreign[0]
    sentence = (
        f"Our codes never hold the character {sign} (number {typed.index(sign) + 1} in what you typed)."
    )
    if len(foreign) == 1:
        meant = [typed.replace(sign, other) for other in _LOOKALIKES.get(sign, "")]
        fitting = [_grouped(code) for code in meant if mod_37_36.is_valid(code)]
        if len(fitting) == 1:
            return f"{sentence} Did you mean {fitting[0]}?"
    return f"{sentence} Please compare it with the label or the letter."


def _swapped_neighbours(typed: str) -> list[str]:
    found = set()
    for place in range(LENGTH - 1):
        pair = typed[place : place + 2]
        other = typed[:place] + pair[::-1] + typed[place + 2 :]
        if mod_37_36.is_valid(other):
            found.add(_grouped(other))
    return sorted(found)


@dataclass(frozen=True)
class ImeiVerdict:
    """What a typed IMEI looks like. `ok` is None where nothing can be checked; it warns and never blocks.

    kind: 'empty', 'imei' (15 digits), 'imeisv' (16 digits, no check digit), 'other'.
    """

    kind: str
    ok: bool | None
    sentence: str


def imei_check(text: str) -> ImeiVerdict:
    """Judge an IMEI by its length and check digit. Source: 3GPP TS 23.003 Annex B."""
    digits = re.sub(r"[\s./\-\u2010-\u2015]", "", unicodedata.normalize("NFKC", text))
    if not digits:
        return ImeiVerdict("empty", None, "")
    if not (digits.isascii() and digits.isdigit()):
        return ImeiVerdict("other", False, "An IMEI holds digits only. It is kept as you typed it.")
    if len(digits) == 16:
        return ImeiVerdict(
            "imeisv", None, "Sixteen digits: an IMEI with software version. It has no check digit."
        )
    if len(digits) != 15:
        return ImeiVerdict(
            "other", False, f"An IMEI has 15 digits. This has {len(digits)}. It is kept as you typed it."
        )
    if imei.is_valid(digits):
        return ImeiVerdict("imei", True, "The check digit is right.")
    return ImeiVerdict(
        "imei", False, "The check digit does not fit: one digit may be wrong. It is kept as you typed it."
    )


def payment_reference(number: str) -> str:
    """The structured creditor reference 'RFnn...' for an order code or document number, without spaces.

    Letters and digits of `number` are used, 21 at most. Raises ValueError where none or more remain.
    Source: ISO 11649:2009 (check digits by ISO/IEC 7064 MOD 97-10).
    """
    body = "".join(sign for sign in number.upper() if sign.isascii() and sign.isalnum())
    if not 1 <= len(body) <= 21:
        raise ValueError("a payment reference holds 1 to 21 letters and digits")
    return f"RF{mod_97_10.calc_check_digits(body + 'RF')}{body}"
