"""Tracking numbers: where a carrier's scheme has a published check digit, a slip of the pen is found before the parcel goes.

Sources: UPU S10 (weights 8 6 4 2 3 5 9 7, through an encyclopaedia's copy); USPS Publication 109 for the MOD 10 digit of the
20 and 22 digit numbers (secondary copy). Other carriers publish none that was seen: their numbers are kept as typed.
"""

import re
import unicodedata
from dataclasses import dataclass

from stdnum import ean

_S10_WEIGHTS = (8, 6, 4, 2, 3, 5, 9, 7)


@dataclass(frozen=True)
class TrackingVerdict:
    """scheme 'UPU S10' or 'USPS', None where none fits; ok None where nothing can be checked. `number` is the typed one
    in capitals without spaces. The sentence is empty where nothing was typed."""

    scheme: str | None
    ok: bool | None
    sentence: str
    number: str


def check_tracking(text: str) -> TrackingVerdict:
    """Judge a typed or scanned tracking number. It warns and never blocks, and raises nothing."""
    number = "".join(sign for sign in unicodedata.normalize("NFKC", text).upper() if sign.isalnum())
    if not number:
        return TrackingVerdict(None, None, "", "")
    if re.fullmatch("[A-Z]{2}[0-9]{9}[A-Z]{2}", number):
        return _verdict("UPU S10", number, number[10], s10_check_digit(number[2:10]))
    bare = _without_postcode(number)
    if re.fullmatch("[0-9]{20}|[0-9]{22}", bare) and not bare.startswith("96"):
        return _verdict("USPS", number, bare[-1], ean.calc_check_digit(bare[:-1]))
    return TrackingVerdict(
        None,
        None,
        "There is no published check for this kind of number. Please compare it once more.",
        number,
    )


def s10_check_digit(serial: str) -> str:
    """The ninth digit for the eight of a UPU S10 number: 11 - (weighted sum mod 11), where 10 becomes 0 and 11 becomes 5.

    Raises ValueError unless eight digits are given.
    """
    if not re.fullmatch("[0-9]{8}", serial):
        raise ValueError("the serial of a UPU S10 number has eight digits")
    rest = 11 - sum(weight * int(digit) for weight, digit in zip(_S10_WEIGHTS, serial, strict=True)) % 11
    return str({10: 0, 11: 5}.get(rest, rest))


def _without_postcode(number: str) -> str:
    """A label's bar code may carry 420 and the ZIP Code, five or nine digits, before the number itself."""
    match = re.fullmatch("420(?:[0-9]{5}|[0-9]{9})([0-9]{20}|[0-9]{22})", number)
    return match[1] if match and len(number) in (28, 30, 32, 34) else number


def _verdict(scheme: str, number: str, found: str, right: str) -> TrackingVerdict:
    if found == right:
        return TrackingVerdict(scheme, True, f"The check digit is right ({scheme}).", number)
    return TrackingVerdict(
        scheme,
        False,
        f"The check digit does not fit ({scheme}): one sign may be wrong. Please compare it.",
        number,
    )
