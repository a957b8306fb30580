"""Whose the time was, all orders together and without the one that waited longest for its customer. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shop.books.lines import Line

OWNERS = {
    "ours": "Ours",
    "theirs": "The customer's",
    "supplier": "A supplier's",
    "carrier": "The carrier's",
}


@dataclass(frozen=True)
class Shares:
    """Seconds by owner of the clock, in the order of `OWNERS`."""

    seconds: dict[str, int]

    @property
    def all(self) -> int:
        return sum(self.seconds.values())

    def share(self, owner: str) -> float | None:
        """0 to 1; None where no time went by."""
        return self.seconds[owner] / self.all if self.all else None


def shares(lines: Iterable[Line]) -> Shares:
    """Several orders added up."""
    sums = dict.fromkeys(OWNERS, 0)
    for line in lines:
        for owner in OWNERS:
            sums[owner] += getattr(line, owner)
    return Shares(sums)


def longest_waiting(lines: Sequence[Line]) -> Line | None:
    """The order that waited longest for its customer; None where none did."""
    longest = max(lines, key=lambda line: line.theirs, default=None)
    return longest if longest is not None and longest.theirs else None


def without(lines: Iterable[Line], left_out: Line | None) -> list[Line]:
    """The others."""
    return [line for line in lines if left_out is None or line.order != left_out.order]


def flow(lines: Iterable[Line], *, now: int) -> float | None:
    """Bench minutes by elapsed minutes, 0 to 1; None where no time went by."""
    minutes = seconds = 0
    for line in lines:
        minutes += line.minutes
        seconds += line.stay(now)[0]
    return minutes * 60 / seconds if seconds else None
