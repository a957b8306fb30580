"""Hand-made lines for the sums of promises and quotes: an invented shop in Anytown, whole days from one midnight."""

import datetime as dt
import zoneinfo
from typing import Any

from shop.books.lines import DAY_SECONDS, Books, House, Line, Window

ZONE = zoneinfo.ZoneInfo("Europe/London")
HOUSE = House("USD", 2, ZONE, 7_000)
# Monday, 2 February 2026; no clock change in the weeks after it.
START = int(dt.datetime(2026, 2, 2, tzinfo=ZONE).timestamp())
MONDAY = dt.date(2026, 2, 2).toordinal()
NOW = START + 60 * DAY_SECONDS


def day(number: float, hour: float = 0) -> int:
    """Seconds of an hour on a day after the Monday."""
    return round(START + number * DAY_SECONDS + hour * 3600)


def line(order: int, *, left: float = 0, **fields: Any) -> Line:
    """`left` in days after the Monday; 0: here."""
    given: dict[str, Any] = {"arrived": START + 1, "station": 100 if left else 60}
    if left:
        given |= {"left": day(left), "left_day": HOUSE.ordinal(day(left))}
    return Line(order, "USD", **(given | fields))


def books(*lines: Line, now: int = NOW, since: int = 1, until: int = 0) -> Books:
    """Every line, through a window that reaches to now unless another end is given."""
    return Books(HOUSE, now, Window("all", "Since the beginning", since, until or now + 1), tuple(lines))
