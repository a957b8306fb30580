"""What a statement says, in plain values, whatever form the file had."""

import datetime as dt
import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

LARGEST_FILE = 10 * 1024 * 1024
MOST_MOVEMENTS = 20_000
# As long as the rows that keep them.
NAME, REFERENCE, TEXT, BANK_REF, ACCOUNT, IDENT = 140, 40, 300, 80, 40, 80


@dataclass(frozen=True)
class Movement:
    """One booked movement. `amount` is above nought for money that came in; `reference` only where a field held one."""

    day: dt.date
    amount: Decimal
    name: str = ""
    reference: str = ""
    text: str = ""
    bank_ref: str = ""


@dataclass(frozen=True)
class Statement:
    """One statement of one account. `form`: 'camt.053' or 'csv'; `ident` is the bank's own name for it."""

    form: str
    account: str
    ident: str
    currency: str
    opening: Decimal | None
    closing: Decimal | None
    movements: tuple[Movement, ...]
    notes: tuple[str, ...] = ()


class Unreadable(ValueError):
    """The file is not taken at all. `sentences` say why, each with its row or place."""

    def __init__(self, *sentences: str) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


def clean(text: str | None, longest: int) -> str:
    """One line without control characters and double blanks, at most so long."""
    seen = "".join(sign if sign.isprintable() else " " for sign in text or "")
    return " ".join(seen.split())[:longest]


def keys(movements: Sequence[Movement]) -> list[str]:
    """A name for each movement, made of what the bank says: 40 hex digits.

    The same movement in an overlapping file gets the same name; of movements that are alike in everything, the
    first, second, third are told apart by their count.
    """
    seen: Counter[Movement] = Counter()
    found = []
    for movement in movements:
        seen[movement] += 1
        parts = (
            movement.bank_ref, movement.day.isoformat(), f"{movement.amount.normalize():f}", movement.name,
            movement.reference, movement.text, str(seen[movement]),
        )  # fmt: skip
        found.append(hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:40])
    return found


def must_add_up(opening: Decimal, closing: Decimal, movements: Sequence[Movement], currency: str) -> None:
    """Raises Unreadable where opening and movements do not come to the closing balance."""
    moved = sum((movement.amount for movement in movements), Decimal(0))
    if opening + moved != closing:
        raise Unreadable(
            f"The statement does not add up: {opening} at the start and {moved} of movements come to "
            f"{opening + moved}, but it says {closing} {currency} at the end. Nothing was taken in. "
            "Ask the bank for the file again."
        )
