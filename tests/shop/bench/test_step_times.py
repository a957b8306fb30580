"""Minutes between ticks."""

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from shop.bench.step_times import since_last

NOON = dt.datetime(2026, 2, 2, 12, 0, tzinfo=dt.UTC)


def at(minutes):
    return None if minutes is None else NOON + dt.timedelta(minutes=minutes)


def test_minutes_are_counted_from_the_tick_before_in_time():
    assert since_last([at(10), at(4), None, at(4.9)]) == [5, None, None, 0]


def test_first_tick_and_none_have_no_time():
    assert since_last([]) == [] and since_last([None]) == [None] and since_last([at(3)]) == [None]


@given(st.lists(st.none() | st.integers(0, 600)))
def test_minutes_of_whole_minutes_add_up_to_the_whole_span(minutes):
    found = [since for since in since_last([at(one) for one in minutes]) if since is not None]
    ticked = [one for one in minutes if one is not None]
    assert sum(found) == (max(ticked) - min(ticked) if ticked else 0)
    assert len(found) == max(len(ticked) - 1, 0)
