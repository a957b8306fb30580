"""Which month a report is of, and from when to when it went. Pure."""

import datetime as dt

from shop.books.lines import House, Window
from shop.books.periods import midnight

LONG = "%B %Y"


def month_of(moment: int, house: House) -> str:
    """'2026-11': the month of a time, in seconds, in the shop's zone."""
    return dt.date.fromordinal(house.ordinal(moment)).strftime("%Y-%m")


def first_day(month: str) -> dt.date:
    """Raises ValueError for what is no month."""
    return dt.date.fromisoformat(f"{month}-01")


def month_before(month: str) -> str:
    return (first_day(month) - dt.timedelta(days=1)).strftime("%Y-%m")


def month_after(month: str) -> str:
    return (first_day(month) + dt.timedelta(days=31)).strftime("%Y-%m")


def words(month: str) -> str:
    """'November 2026'."""
    return first_day(month).strftime(LONG)


def window_of(month: str, *, now: int, house: House) -> Window:
    """From its first midnight to the next month's, in the shop's zone; of a running month to now, that moment included."""
    since = midnight(first_day(month).toordinal(), house)
    until = midnight(first_day(month_after(month)).toordinal(), house)
    return Window("month", words(month), since, min(until, now + 1))
