"""Counting minutes: exact times first, rounded up once; when a clock is idle or forgotten; times on the wall."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.bench.minute_maths import counted, is_forgotten, is_idle, moments, overlap, shares, spent

NEW_YORK = ZoneInfo("America/New_York")
SPANS = st.lists(st.timedeltas(timedelta(0), timedelta(hours=13)), max_size=8)


def seconds(*numbers: float) -> list[timedelta]:
    return [timedelta(seconds=number) for number in numbers]


@pytest.mark.parametrize(
    ("spans", "minutes"),
    [
        ([], 0),
        (seconds(0), 1),
        (seconds(60), 1),
        (seconds(60.001), 2),
        (seconds(*[3] * 10), 1),
        (seconds(30, 30, 1), 2),
        (seconds(-5, 61), 2),
        (seconds(86_400, 60), 721),
    ],
)
def test_minutes_are_added_exactly_and_rounded_up_once(spans: list[timedelta], minutes: int) -> None:
    assert counted(spans) == minutes


@given(SPANS)
def test_shares_add_up_and_none_is_below_nought(spans: list[timedelta]) -> None:
    parts = shares(spans)
    assert sum(parts) == counted(spans)
    assert all(part >= 0 for part in parts)


@given(SPANS, st.integers(0, 8))
def test_shares_of_what_was_before_stay_when_more_is_added(spans: list[timedelta], cut: int) -> None:
    assert shares(spans[:cut]) == shares(spans)[:cut]


@pytest.mark.parametrize(
    ("started", "minutes"),
    [
        # The rules of the tz database: forward on 8 March 2026 at 07:00 UTC, back on 1 November at 06:00 UTC.
        (datetime(2026, 3, 8, 1, 45, tzinfo=NEW_YORK), 30),
        (datetime(2026, 11, 1, 1, 45, tzinfo=NEW_YORK), 30),
    ],
)
def test_time_that_passed_over_a_clock_change_is_what_really_passed(started: datetime, minutes: int) -> None:
    ended = (started.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(NEW_YORK)
    assert ended - started != timedelta(minutes=minutes)  # the trap: a difference on the wall
    assert spent(started, ended) == timedelta(minutes=minutes)


def test_stretches_may_touch_and_not_share() -> None:
    one, two, three = (datetime(2026, 2, 2, hour, tzinfo=UTC) for hour in (9, 10, 11))
    assert not overlap((one, two), (two, three))
    assert not overlap((two, None), (one, two))
    assert overlap((one, three), (two, None))
    assert overlap((one, None), (two, None))
    assert overlap((two, two), (one, three))


@pytest.mark.parametrize(("minutes", "idle"), [(0, False), (19.9, False), (20, True), (300, True)])
def test_idle_after_twenty_minutes_without_a_deed(at: datetime, minutes: float, idle: bool) -> None:
    assert is_idle(at, at + timedelta(minutes=minutes)) is idle


@pytest.mark.parametrize(
    ("started", "now", "forgotten"),
    [
        # 09:00 in New York is 14:00 UTC in winter; midnight there is 05:00 UTC.
        (datetime(2026, 2, 2, 14, tzinfo=UTC), datetime(2026, 2, 2, 18, tzinfo=UTC), False),
        (datetime(2026, 2, 2, 14, tzinfo=UTC), datetime(2026, 2, 2, 18, 1, tzinfo=UTC), True),
        (datetime(2026, 2, 3, 4, 50, tzinfo=UTC), datetime(2026, 2, 3, 4, 59, tzinfo=UTC), False),
        (datetime(2026, 2, 3, 4, 50, tzinfo=UTC), datetime(2026, 2, 3, 5, 1, tzinfo=UTC), True),
        (datetime(2026, 2, 2, 23, 50, tzinfo=UTC), datetime(2026, 2, 3, 0, 10, tzinfo=UTC), False),
    ],
)
def test_forgotten_is_over_four_hours_or_past_the_shops_midnight(
    started: datetime, now: datetime, forgotten: bool
) -> None:
    assert is_forgotten(started, now, NEW_YORK) is forgotten


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        (datetime(2026, 2, 2, 9, 0), [datetime(2026, 2, 2, 14, 0, tzinfo=UTC)]),
        (datetime(2026, 3, 8, 2, 30), []),
        (
            datetime(2026, 11, 1, 1, 30),
            [datetime(2026, 11, 1, 5, 30, tzinfo=UTC), datetime(2026, 11, 1, 6, 30, tzinfo=UTC)],
        ),
    ],
)
def test_time_on_the_wall_means_one_moment_or_two_or_none(typed: datetime, meant: list[datetime]) -> None:
    assert moments(typed, NEW_YORK) == meant
