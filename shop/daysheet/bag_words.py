"""Counting the bags at close: what was expected, what was found, and what to do about the difference. Pure."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

MOST_NAMED = 6


@dataclass(frozen=True)
class Compared:
    """Bags by name, each in the order of their numbers."""

    here: tuple[str, ...]
    missing: tuple[str, ...]
    extra: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        return not self.missing and not self.extra


def compare(expected: Iterable[str], found: Iterable[str]) -> Compared:
    """Each bag once, however often it was scanned."""
    wanted, there = set(expected), set(found)
    return Compared(
        *(tuple(sorted(bags, key=by_number)) for bags in (wanted & there, wanted - there, there - wanted))
    )


def read_bag(typed: str) -> str:
    """'B-07' from 'b7', '07', 'bag 7' or 'B-07'; "" where it is no bag."""
    shaped = re.fullmatch(r"(?:b(?:ag)?)?[\s-]*0*(\d{1,5})", typed.strip(), re.IGNORECASE)
    return f"B-{int(shaped[1]):02d}" if shaped else ""


def by_number(bag: str) -> tuple[int, str]:
    digits = re.sub(r"\D", "", bag)
    return (int(digits) if digits else 0, bag)


def outcome(compared: Compared) -> str:
    """'all 14 here', or what is missing and what is too many: '1 missing: B-07'."""
    if compared.agrees:
        number = len(compared.here)
        return (
            "no bag, and none expected"
            if not number
            else "the 1 bag is here"
            if number == 1
            else f"all {number} here"
        )
    words = [
        f"{len(bags)} {word}: {_named(bags)}"
        for word, bags in (("missing", compared.missing), ("not expected", compared.extra))
        if bags
    ]
    return "; ".join(words)


def _named(bags: tuple[str, ...]) -> str:
    more = f" and {len(bags) - MOST_NAMED} more" if len(bags) > MOST_NAMED else ""
    return ", ".join(bags[:MOST_NAMED]) + more
