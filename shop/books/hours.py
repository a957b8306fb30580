"""The shop's own hours as they were last saved, with the public holidays of its country. Reads rows; the sums are in `hours_maths`."""

import datetime as dt
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import holidays
from babel import Locale

from shop.books.hours_maths import USUAL, Calendar, Day, Week, calendar_over
from shop.models import ShopHours

# The longest region a version of the hours can hold; the few longer ones of the library are towns with a day of their own.
LONGEST_REGION = 10
AHEAD_DAYS = 400


@dataclass(frozen=True)
class Hours:
    """A version of the hours in plain values. `version` 0: nothing was ever saved, the usual hours are guessed."""

    version: int
    week: Week
    country: str
    region: str
    own: tuple[dt.date, ...]

    @property
    def guessed(self) -> bool:
        return self.version == 0


GUESS = Hours(0, USUAL, "", "", ())


def current_hours() -> Hours:
    """The newest version, or the guess. One query."""
    row = ShopHours.objects.order_by("-version").first()
    return GUESS if row is None else hours_of(row)


def hours_of(row: ShopHours) -> Hours:
    """A row in plain values."""
    days = tuple(_day(pair) for pair in row.week) or USUAL.days
    own = tuple(dt.date.fromisoformat(day) for day in row.closed)
    return Hours(row.version, Week(days), row.country, row.region, own)


def calendar_of(hours: Hours, zone: zoneinfo.ZoneInfo, *, since: int, until: int) -> Calendar:
    """The calendar from a day before `since` to more than a year after `until`, seconds since 1970."""
    until += AHEAD_DAYS * 86_400
    years = range(
        dt.datetime.fromtimestamp(since, zone).year - 1, dt.datetime.fromtimestamp(until, zone).year + 2
    )
    public = [day for year in years for day in public_holidays(hours.country, hours.region, year)]
    return calendar_over(hours.week, {*hours.own, *public}, zone, since=since, until=until)


@lru_cache(maxsize=256)
def public_holidays(country: str, region: str, year: int) -> dict[dt.date, str]:
    """Public holidays of a year with their names in English where the library has them; none without a country.

    As the holidays library knows them: those of most of the staff, not bank or half days. Without a region it no longer
    knows, those of the whole country; none of a country it no longer knows.
    """
    if not country:
        return {}
    try:
        found = holidays.country_holidays(
            country, subdiv=region or None, years=year, language=_english(country), expand=False
        )
    except NotImplementedError:
        return public_holidays(country, "", year) if region else {}
    return dict(sorted(found.items()))


def next_closed(hours: Hours, *, after: dt.date, count: int = 10) -> list[tuple[dt.date, str]]:
    """The next days on which the shop is closed though its week says open, and why; at most two years ahead."""
    found: list[tuple[dt.date, str]] = []
    for day, why in _closed_days(hours, after.year):
        if day >= after and hours.week.days[day.weekday()] is not None:
            found.append((day, why))
    return found[:count]


def _closed_days(hours: Hours, year: int) -> Iterator[tuple[dt.date, str]]:
    named = dict.fromkeys(hours.own, "Own closed day")
    for each in (year, year + 1, year + 2):
        named |= public_holidays(hours.country, hours.region, each)
    yield from sorted(named.items())


@lru_cache(maxsize=1)
def countries() -> tuple[tuple[str, str], ...]:
    """(code, English name) of each country whose holidays the library knows, by name."""
    names = Locale("en").territories
    known = [code for code in holidays.list_supported_countries(include_aliases=False) if code in names]
    return tuple(sorted(((code, str(names[code])) for code in known), key=lambda pair: pair[1]))


@lru_cache(maxsize=64)
def regions(country: str) -> tuple[tuple[str, str], ...]:
    """(code, name) of the regions with holidays of their own; none for an unknown country."""
    if country not in dict(countries()):
        return ()
    found = holidays.country_holidays(country)
    names = found.get_subdivision_aliases()
    return tuple(
        (code, (names.get(code) or [code])[0]) for code in found.subdivisions if len(code) <= LONGEST_REGION
    )


def region_of(country: str, typed: str) -> str | None:
    """The code of a region typed as a code or by its name; None: the library knows none such there."""
    wanted = typed.strip().casefold()
    for code, name in regions(country):
        if wanted in (code.casefold(), name.casefold()):
            return code
    return None


def _english(country: str) -> str | None:
    found = holidays.country_holidays(country)
    known = (f"en_{country}", "en_GB", "en_US")
    return next((each for each in known if each in found.supported_languages), None)


def _day(pair: Any) -> Day:
    if pair is None:
        return None
    start, end = (dt.time.fromisoformat(text) for text in pair)
    return start, end
