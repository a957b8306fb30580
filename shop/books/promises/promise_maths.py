"""Whether a promise was kept, and by how many working hours it was missed. Pure."""

from typing import Literal, Protocol

from shop.books.lines import House, Line
from shop.books.periods import midnight

Standing = Literal["kept", "missed", "open", ""]


class Hours(Protocol):
    """When hands are at the bench."""

    def seconds_between(self, since: int, until: int, /) -> int:
        """Working seconds from one moment to a later one."""


class EveryHour:
    """A shop that never closes."""

    def seconds_between(self, since: int, until: int, /) -> int:
        return until - since


def standing(promise: int, line: Line, *, today: int) -> Standing:
    """How a promised day stands: 'open' while it may still be kept, '' where none was named.

    A promise is due when its day is over, or when the device left before. Still here on the day itself is not missed.
    """
    if not promise:
        return ""
    if line.left:
        return "kept" if line.left_day <= promise else "missed"
    return "missed" if promise < today else "open"


def day_end(promise: int, house: House) -> int:
    """When a promised day is over, seconds since 1970."""
    return midnight(promise + 1, house)


def error(end: int, line: Line, hours: Hours) -> int:
    """Working seconds from the end of the promised day until the device, which has left, did so; below nought: before it."""
    if line.left >= end:
        return hours.seconds_between(end, line.left)
    return -hours.seconds_between(line.left, end)
