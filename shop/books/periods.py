"""The stretch of time a page of the books looks at, and the one before it. Pure."""

import datetime as dt

from shop.books.lines import House, Window

# Days back from today, today among them; None: the beginning.
CHOICES: dict[str, tuple[str, int | None]] = {
    "week": ("Last 7 days", 7),
    "month": ("Last 30 days", 30),
    "quarter": ("Last 13 weeks", 91),
    "year": ("Last 52 weeks", 364),
    "all": ("Since the beginning", None),
}
USUAL = "quarter"


def window_of(key: str, *, now: int, house: House) -> Window:
    """The window of a key of `CHOICES`, from the first midnight in the shop's zone up to now; an unknown key is the usual one."""
    key = key if key in CHOICES else USUAL
    words, days = CHOICES[key]
    since = 1 if days is None else midnight(house.ordinal(now) - days + 1, house)
    return Window(key, words, since, now + 1)


def before(window: Window, *, house: House) -> Window | None:
    """The window of as many days that ended where this one began; None before the beginning."""
    days = CHOICES[window.key][1] if window.key in CHOICES else None
    if days is None:
        return None
    since = midnight(house.ordinal(window.since) - days, house)
    return Window(window.key, f"the {days} days before", since, window.since)


def midnight(ordinal: int, house: House) -> int:
    """When a day began in the shop's zone, seconds since 1970."""
    return int(dt.datetime.combine(dt.date.fromordinal(ordinal), dt.time(), house.zone).timestamp())
