"""Public holidays as the statutes and official lists give them, against what the shop's hours take from the holidays library.

Sources, all from memory: Berlin, Gesetz über die Sonn- und Feiertage section 1; Bavaria, Feiertagsgesetz article 1; Sweden, Lag
(1989:1253) om allmänna helgdagar; United States, 5 U.S.C. 6103 and the Office of Personnel Management's list; England and Wales,
Banking and Financial Dealings Act 1971 schedule 1 and the government's list of bank holidays; Japan, Act on National Holidays
(1948) with the observatory's equinoxes; France, Code du travail L3133-1. Easter: the Gregorian computus in the form of Meeus,
Jones and Butcher.
"""

import datetime as dt
import zoneinfo

import holidays
import pytest

from shop.books.hours import GUESS, Hours, calendar_of, countries, next_closed, public_holidays, regions

BERLIN_2026 = "01-01 03-08 04-03 04-06 05-01 05-14 05-25 10-03 12-25 12-26"
BAVARIA_2025 = "01-01 01-06 04-18 04-21 05-01 05-29 06-09 06-19 10-03 11-01 12-25 12-26"
SWEDEN_2026 = "01-01 01-06 04-03 04-05 04-06 05-01 05-14 05-24 06-06 06-20 10-31 12-25 12-26"
STATES_2025 = "01-01 01-20 02-17 05-26 06-19 07-04 09-01 10-13 11-11 11-27 12-25"
# 4 July 2026 is a Saturday: kept on Friday the 3rd; the library lists both.
STATES_2026 = "01-01 01-19 02-16 05-25 06-19 07-03 07-04 09-07 10-12 11-11 11-26 12-25"
ENGLAND_2025 = "01-01 04-18 04-21 05-05 05-26 08-25 12-25 12-26"
# 26 December 2026 is a Saturday: kept on Monday the 28th; the library lists both.
ENGLAND_2026 = "01-01 04-03 04-06 05-04 05-25 08-31 12-25 12-26 12-28"
JAPAN_2026 = "01-01 01-12 02-11 02-23 03-20 04-29 05-03 05-04 05-05 05-06 07-20 08-11 09-21 09-22 09-23 10-12 11-03 11-23"
FRANCE_2026 = "01-01 04-06 05-01 05-08 05-14 05-25 07-14 08-15 11-01 11-11 12-25"
PUBLISHED = [
    ("DE", "BE", 2026, BERLIN_2026), ("DE", "BY", 2025, BAVARIA_2025), ("SE", "", 2026, SWEDEN_2026), ("US", "", 2025, STATES_2025),
    ("US", "", 2026, STATES_2026), ("GB", "ENG", 2025, ENGLAND_2025), ("GB", "ENG", 2026, ENGLAND_2026), ("JP", "", 2026, JAPAN_2026),
    ("FR", "", 2026, FRANCE_2026),
]  # fmt: skip


@pytest.mark.parametrize(("country", "region", "year", "days"), PUBLISHED)
def test_published_days(country: str, region: str, year: int, days: str) -> None:
    found = public_holidays(country, region, year)
    assert [f"{day:%m-%d}" for day in found] == days.split()
    assert {day.year for day in found} == {year}


def easter(year: int) -> dt.date:
    """Easter Sunday."""
    golden, (century, rest) = year % 19, divmod(year, 100)
    quarter, left = divmod(century, 4)
    shift = (century - (century + 8) // 25 + 1) // 3
    moon = (19 * golden + century - quarter - shift + 15) % 30
    sunday = (32 + 2 * left + 2 * (rest // 4) - moon - rest % 4) % 7
    late = (golden + 11 * moon + 22 * sunday) // 451
    month, day = divmod(moon + sunday - 7 * late + 114, 31)
    return dt.date(year, month, day + 1)


@pytest.mark.parametrize("year", range(2000, 2051, 5))
def test_movable_days_follow_easter(year: int) -> None:
    sunday = easter(year)
    found = public_holidays("DE", "BE", year)
    for days in (-2, 1, 39, 50):
        assert sunday + dt.timedelta(days=days) in found


@pytest.mark.parametrize(
    ("country", "region"), [("DE", "BY"), ("CA", "ON"), ("AU", "NSW"), ("IT", ""), ("NL", "")]
)
def test_all_days_of_the_library_are_taken(country: str, region: str) -> None:
    theirs = holidays.country_holidays(country, subdiv=region or None, years=2027)
    assert set(public_holidays(country, region, 2027)) == set(theirs)


def test_every_country_and_region_offered_is_known_to_the_library() -> None:
    known = holidays.list_supported_countries(include_aliases=False)
    offered = dict(countries())
    assert len(offered) > 200
    assert set(offered) <= set(known)
    for country in offered:
        assert {code for code, _ in regions(country)} <= set(known[country])


def test_working_days_of_the_last_week_of_a_year() -> None:
    """Berlin, 21 to 31 December 2026: eight working days; the third after the 23rd is the 29th (by the library)."""
    zone = zoneinfo.ZoneInfo("Europe/Berlin")
    hours = Hours(1, GUESS.week, "DE", "BE", ())
    at = int(dt.datetime(2026, 12, 21, tzinfo=zone).timestamp())
    calendar = calendar_of(hours, zone, since=at, until=at + 12 * 86_400)
    days = [dt.date(2026, 12, day) for day in range(21, 32)]
    working = [day for day in days if calendar.open_on(day)]
    assert len(working) == 8
    assert [day for day in working if day > dt.date(2026, 12, 23)][2] == dt.date(2026, 12, 29)
    assert calendar.days_between(at, at + 11 * 86_400) == 8.0


def test_an_observed_day_is_a_closed_day() -> None:
    hours = Hours(1, GUESS.week, "US", "", ())
    assert next_closed(hours, after=dt.date(2026, 7, 1), count=1)[0][0] == dt.date(2026, 7, 3)
