"""Own hours: closed days, clock changes, nights and a plain sum over every second as the judge."""

import datetime as dt
import random
import zoneinfo

import numpy as np
import pytest

from shop.books.hours_maths import USUAL, Calendar, Week, calendar_over

BERLIN = zoneinfo.ZoneInfo("Europe/Berlin")
UTC = zoneinfo.ZoneInfo("UTC")
HOUR = 3600


def moment(text: str, zone: zoneinfo.ZoneInfo = BERLIN) -> int:
    return int(dt.datetime.fromisoformat(text).replace(tzinfo=zone).timestamp())


def open_all(start: str, end: str) -> Week:
    return Week(((dt.time.fromisoformat(start), dt.time.fromisoformat(end)),) * 7)


def over(week: Week, closed: tuple[str, ...] = (), zone: zoneinfo.ZoneInfo = BERLIN) -> Calendar:
    days = [dt.date.fromisoformat(day) for day in closed]
    return calendar_over(week, days, zone, since=moment("2026-01-01", zone), until=moment("2026-12-31", zone))


def test_a_weekend_counts_for_nothing() -> None:
    """Friday 16:00 to Monday 10:00 is an hour on each side."""
    calendar = over(USUAL)
    assert calendar.seconds_between(moment("2026-02-27T16:00"), moment("2026-03-02T10:00")) == 2 * HOUR
    assert calendar.seconds_between(moment("2026-03-02T10:00"), moment("2026-02-27T16:00")) == -2 * HOUR
    assert calendar.days_between(moment("2026-02-23T00:00"), moment("2026-03-02T00:00")) == 5.0


def test_a_closed_day_counts_for_nothing() -> None:
    calendar = over(USUAL, ("2026-03-03",))
    assert calendar.seconds_between(moment("2026-03-02T00:00"), moment("2026-03-05T00:00")) == 16 * HOUR
    assert calendar.open_on(dt.date(2026, 3, 2)) and not calendar.open_on(dt.date(2026, 3, 3))
    assert not calendar.open_on(dt.date(2026, 3, 1))


def test_a_clock_change_within_opening_hours_is_an_hour_less_or_more() -> None:
    """In Berlin the clock went from 02:00 to 03:00 on 29 March 2026, and back on 25 October."""
    night = over(open_all("00:00", "08:00"))
    assert night.seconds_between(moment("2026-03-29T00:00"), moment("2026-03-29T12:00")) == 7 * HOUR
    assert night.seconds_between(moment("2026-10-25T00:00"), moment("2026-10-25T12:00")) == 9 * HOUR
    day = over(open_all("09:00", "17:00"))
    assert day.seconds_between(moment("2026-03-28T12:00"), moment("2026-03-29T12:00")) == 8 * HOUR


def test_hours_that_a_clock_change_swallows_are_nought_and_never_less() -> None:
    """02:30 is not there on 29 March 2026 in Berlin, and 03:15 comes before what it would have been."""
    short = over(open_all("02:30", "03:15"))
    assert short.seconds_between(moment("2026-03-29T00:00"), moment("2026-03-29T12:00")) == 0
    assert short.seconds_between(moment("2026-03-28T00:00"), moment("2026-03-30T12:00")) == 90 * 60
    assert not short.is_open(moment("2026-03-29T03:20"))
    assert short.next_open(moment("2026-03-29T01:00")) == moment("2026-03-30T02:30")


def test_a_night_runs_past_midnight_and_is_cut_where_the_next_day_opens() -> None:
    night = over(open_all("22:00", "06:00"))
    assert night.seconds_between(moment("2026-05-04T00:00"), moment("2026-05-05T00:00")) == 8 * HOUR
    assert night.is_open(moment("2026-05-04T03:00")) and not night.is_open(moment("2026-05-04T06:00"))
    whole = over(open_all("00:00", "00:00"))
    assert whole.seconds_between(moment("2026-05-04T00:00"), moment("2026-05-06T00:00")) == 48 * HOUR
    crossed = over(open_all("08:00", "07:00"))
    assert crossed.week.day_seconds == 23 * HOUR
    lapping = over(Week(((dt.time(8), dt.time(10)),) * 6 + ((dt.time(20), dt.time(9)),)))
    # Sunday 20:00 until Monday 08:00, where Monday's own hours begin.
    assert lapping.seconds_between(moment("2026-05-03T12:00"), moment("2026-05-04T12:00")) == 14 * HOUR


def test_next_open() -> None:
    calendar = over(USUAL, ("2026-03-02",))
    assert calendar.next_open(moment("2026-02-27T17:00")) == moment("2026-03-03T09:00")
    assert calendar.next_open(moment("2026-03-03T09:30")) == moment("2026-03-03T09:30")
    assert over(Week((None,) * 7)).next_open(moment("2026-03-03")) is None
    assert over(Week((None,) * 7)).days_between(moment("2026-03-03"), moment("2026-03-04")) is None


def test_outside_its_days_it_refuses_rather_than_guesses() -> None:
    with pytest.raises(ValueError, match="outside"):
        over(USUAL).seconds_between(moment("2024-01-01"), moment("2026-01-02"))
    with pytest.raises(ValueError, match="seven"):
        Week((None,) * 6)


@pytest.mark.parametrize("zone", [BERLIN, UTC, zoneinfo.ZoneInfo("America/St_Johns")])
def test_it_says_the_same_as_counting_each_quarter_of_an_hour(zone: zoneinfo.ZoneInfo) -> None:
    rng = random.Random(5)
    closed = ("2026-03-27", "2026-03-31")
    week = Week(
        ((dt.time(9), dt.time(17)),) * 3
        + (None, (dt.time(1, 30), dt.time(4)), (dt.time(0), dt.time(0)), (dt.time(0), dt.time(5, 30)))
    )
    calendar = over(week, closed, zone)

    def opened(second: int) -> bool:
        local = dt.datetime.fromtimestamp(second, zone)
        hours = week.days[local.weekday()]
        if hours is None or local.date().isoformat() in closed:
            return False
        return hours[0] <= local.time() and (local.time() < hours[1] or hours[1] == dt.time())

    step = 900
    pairs = []
    for _ in range(12):
        start = moment("2026-03-02", zone) + step * rng.randrange(4 * 24 * 30)
        end = start + step * rng.randrange(4 * 24 * 6)
        assert calendar.seconds_between(start, end) == step * sum(
            opened(second) for second in range(start, end, step)
        )
        pairs.append((start, end))
    starts, ends = np.array(pairs, dtype=np.int64).T
    assert calendar.seconds_of(starts, ends).tolist() == [calendar.seconds_between(*pair) for pair in pairs]
