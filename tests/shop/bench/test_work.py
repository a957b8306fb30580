"""Minutes at the bench: never two at once, a started minute counts, and a clock change counts no hour."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import IntegrityError, transaction

from intake.refusals import Refused
from shop.bench import work
from shop.models import WorkSession
from tests import walk

LATER = timedelta(minutes=10)


@pytest.fixture
def orders(bench, at):
    return [walk.request(at=at) for _ in range(2)]


def test_starting_on_another_order_stops_the_first_so_that_none_overlap(bench, orders, at):
    first = work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    second = work.start(order=orders[1], kind="repair", by=bench.technician, at=at + LATER)
    first.refresh_from_db()
    assert (first.ended_at, first.minutes) == (second.started_at, 10)
    assert work.running_of(bench.technician) == second


def test_starting_the_same_again_goes_on(bench, orders, at):
    first = work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    assert work.start(order=orders[0], kind="look", by=bench.technician, at=at + LATER) == first
    other_kind = work.start(order=orders[0], kind="repair", by=bench.technician, at=at + LATER)
    assert other_kind != first and WorkSession.objects.filter(ended_at__isnull=True).count() == 1


def test_database_refuses_a_second_open_session_of_a_person(bench, orders, at):
    work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    with pytest.raises(IntegrityError), transaction.atomic():
        WorkSession.objects.create(order=orders[1], kind="look", started_at=at, by=bench.technician)


def test_two_people_may_work_at_the_same_time(bench, orders, at):
    work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    work.start(order=orders[0], kind="look", by=bench.owner, at=at)
    assert WorkSession.objects.filter(ended_at__isnull=True).count() == 2


@pytest.mark.parametrize(
    ("seconds", "minutes"), [(0, 1), (1, 1), (60, 1), (61, 2), (599, 10), (3600 * 30, 720), (-50, 1)]
)
def test_a_started_minute_counts_and_a_night_is_cut(bench, orders, at, seconds, minutes):
    work.start(order=orders[0], kind="repair", by=bench.technician, at=at)
    ended = work.stop(by=bench.technician, at=at + timedelta(seconds=seconds))
    assert ended is not None and ended.minutes == minutes and ended.ended_at >= ended.started_at
    assert work.minutes_of(orders[0]) == minutes


def test_nothing_running_stops_nothing(bench):
    assert work.stop(by=bench.technician, at=datetime(2026, 2, 2, tzinfo=UTC)) is None


@pytest.mark.parametrize(
    "before",
    [
        # Clock changes in the shop's zone: forward on 29 March, back on 25 October 2026 (rules of the tz database).
        datetime(2026, 3, 29, 0, 45, tzinfo=UTC),
        datetime(2026, 10, 25, 0, 45, tzinfo=UTC),
    ],
)
def test_half_an_hour_over_a_clock_change_is_thirty_minutes(bench, orders, before):
    work.start(order=orders[0], kind="repair", by=bench.technician, at=before)
    ended = work.stop(by=bench.technician, at=before + timedelta(minutes=30))
    assert ended is not None and ended.minutes == 30


@pytest.mark.parametrize("minutes", [0, -1, 721])
def test_minutes_by_hand_have_limits(bench, orders, at, minutes):
    with pytest.raises(Refused) as refused:
        work.write_down(order=orders[0], kind="repair", minutes=minutes, by=bench.technician, at=at)
    assert refused.value.field == "minutes"
    assert not WorkSession.objects.exists()


def test_minutes_are_summed_by_kind(bench, orders, at):
    for kind, minutes in (("look", 5), ("repair", 40), ("repair", 2)):
        work.write_down(order=orders[0], kind=kind, minutes=minutes, by=bench.technician, at=at)
    assert (work.minutes_of(orders[0], "repair"), work.minutes_of(orders[0])) == (42, 47)


def test_signing_stops_only_what_runs_on_that_order(bench, orders, at):
    work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    work.close_for(orders[1], by=bench.technician, at=at + LATER)
    assert work.running_of(bench.technician) is not None
    work.close_for(orders[0], by=bench.technician, at=at + LATER)
    assert work.running_of(bench.technician) is None
