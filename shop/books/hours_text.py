"""Opening hours and closed days as people type them. Pure."""

import datetime as dt
import re

from shop.books.hours_maths import Day

MOST_DAYS = 400
_HOURS = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?\s*(?:to|until|-|–|—)\s*(\d{1,2})(?:[:.](\d{2}))?")
_SPAN = re.compile(r"(\d{4}-\d{2}-\d{2})(?:\s*(?:to|until|-|–|—)\s*(\d{4}-\d{2}-\d{2}))?")
_LAST_HOUR = 24


def hours_from(text: str) -> Day:
    """'09:00 to 17:00', '9-17' or '9.30 – 18' as two times; None for an empty box or 'closed'.

    24 as the closing hour is midnight. Raises ValueError with a sentence for anything else.
    """
    typed = text.strip().casefold()
    if typed in ("", "closed"):
        return None
    found = _HOURS.fullmatch(typed)
    if not found:
        raise ValueError("Type two times such as 09:00 to 17:00, or leave it empty for closed.")
    first, last = _time(found[1], found[2]), _time(found[3], found[4])
    if first == last and first != dt.time():
        raise ValueError("Opening and closing are the same time.")
    return first, last


def hours_said(day: Day) -> str:
    """The same back, as the box shows it."""
    return "" if day is None else f"{day[0]:%H:%M} to {day[1]:%H:%M}"


def days_from(text: str) -> tuple[dt.date, ...]:
    """Days, one a line: '2026-08-03', or '2026-08-03 to 2026-08-14' for each from the first to the last; sorted, once each.

    Raises ValueError with a sentence that names the line it cannot read.
    """
    found: set[dt.date] = set()
    for line in filter(None, (each.strip() for each in text.splitlines())):
        found |= _days_of(line)
        if len(found) > MOST_DAYS:
            raise ValueError(f"{MOST_DAYS} days are the most.")
    return tuple(sorted(found))


def days_said(days: tuple[dt.date, ...]) -> str:
    """Sorted days back as lines, those that follow each other as one line."""
    spans: list[list[dt.date]] = []
    for day in days:
        if spans and spans[-1][1] + dt.timedelta(days=1) == day:
            spans[-1][1] = day
        else:
            spans.append([day, day])
    return "\n".join(f"{first}" if first == last else f"{first} to {last}" for first, last in spans)


def _time(hour: str, minute: str | None) -> dt.time:
    if int(hour) == _LAST_HOUR and not int(minute or 0):
        return dt.time()
    try:
        return dt.time(int(hour), int(minute or 0))
    except ValueError:
        raise ValueError("Hours go from 0 to 24 and minutes from 0 to 59.") from None


def _days_of(line: str) -> set[dt.date]:
    sentence = f"This line is no day such as 2026-08-03, nor two with 'to' between them: {line[:40]}"
    found = _SPAN.fullmatch(line)
    if not found:
        raise ValueError(sentence)
    try:
        first = dt.date.fromisoformat(found[1])
        last = dt.date.fromisoformat(found[2] or found[1])
    except ValueError:
        raise ValueError(sentence) from None
    if not 0 <= (last - first).days < MOST_DAYS:
        raise ValueError(f"From the first day to the last, at most {MOST_DAYS}: {line[:40]}")
    return {first + dt.timedelta(days=number) for number in range((last - first).days + 1)}
