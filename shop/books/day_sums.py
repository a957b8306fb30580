"""What a line adds to the sums of its day: of all orders, and by family, remedy, customer and technician. Pure."""

from collections.abc import Iterable
from typing import NamedTuple

from shop.books.lines import Line

ADDED = ("orders", "billed", "parts", "spoiled", "post", "fees", "losses", "minutes", "bench")


class DayKey(NamedTuple):
    """Which row of the sums: `word` is the family, the remedy, or the pk of the customer or technician as text."""

    currency: str
    facet: str
    day: int
    word: str


def keys_of(line: Line) -> list[DayKey]:
    """The rows a line counts in; none before it has left."""
    if not line.left_day:
        return []
    words = {
        "all": "",
        "family": line.family,
        "remedy": line.remedy,
        "customer": str(line.customer or ""),
        "technician": str(line.technician or ""),
    }
    return [DayKey(line.currency, facet, line.left_day, word) for facet, word in words.items()]


def amounts_of(line: Line) -> tuple[int, ...]:
    """What it adds, in the order of `ADDED`."""
    return (
        1, line.billed, line.parts, line.spoiled, line.post, line.fees, line.losses, line.minutes, line.bench,
    )  # fmt: skip


def summed(lines: Iterable[Line], *, sign: int = 1) -> dict[DayKey, list[int]]:
    """Lines by the rows they count in."""
    found: dict[DayKey, list[int]] = {}
    for line in lines:
        amounts = amounts_of(line)
        for key in keys_of(line):
            row = found.setdefault(key, [0] * len(ADDED))
            for place, amount in enumerate(amounts):
                row[place] += sign * amount
    return found


def differences(old: Iterable[Line], new: Iterable[Line]) -> dict[DayKey, list[int]]:
    """What is to be added to the sums when old lines give way to new ones; rows that stay as they are are left out."""
    found = summed(new)
    for key, amounts in summed(old, sign=-1).items():
        row = found.setdefault(key, [0] * len(ADDED))
        for place, amount in enumerate(amounts):
            row[place] += amount
    return {key: row for key, row in found.items() if any(row)}
