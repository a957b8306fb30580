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


NIGHT = timedelta(hours=23)


def left_by_switch(orders, by, at):
    work.switch(order=orders[1], kind="look", by=by, at=at)


def left_by_signing(orders, by, at):
    work.close_for(orders[0], by=by, at=at)


def left_by_stop(orders, by, at):
    work.leave(by=by, at=at)


@pytest.mark.parametrize("left", [left_by_switch, left_by_signing, left_by_stop])
def test_forgotten_clock_ends_at_its_last_deed(bench, orders, at, left):
    forgotten = work.start(order=orders[0], kind="repair", by=bench.technician, at=at)
    work.touch(bench.technician, at + LATER)
    left(orders, bench.technician, at + NIGHT)
    forgotten.refresh_from_db()
    assert (forgotten.ended_at, forgotten.minutes) == (at + LATER, 10)
    assert orders[0].history.filter(what="forgotten clock").count() == 1


@pytest.mark.parametrize("left", [left_by_switch, left_by_signing, left_by_stop])
def test_long_work_with_a_hand_on_it_lately_is_not_forgotten(bench, orders, at, left):
    long = work.start(order=orders[0], kind="repair", by=bench.technician, at=at)
    work.touch(bench.technician, at + timedelta(minutes=290))
    left(orders, bench.technician, at + timedelta(minutes=300))
    long.refresh_from_db()
    assert long.minutes == 300 and not orders[0].history.filter(what="forgotten clock").exists()


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


def test_ten_switches_within_a_minute_are_one_minute(bench, orders, at):
    moment = at
    for number in range(10):
        work.start(order=orders[0], kind=("look", "test")[number % 2], by=bench.technician, at=moment)
        moment += timedelta(seconds=5)
    work.stop(by=bench.technician, at=moment)
    assert (work.minutes_of(orders[0], "look"), work.minutes_of(orders[0], "test")) == (1, 1)


def test_two_people_on_one_order_both_count(bench, orders, at):
    for person in (bench.technician, bench.owner):
        work.start(order=orders[0], kind="repair", by=person, at=at)
    for person in (bench.technician, bench.owner):
        work.stop(by=person, at=at + LATER)
    assert work.minutes_of(orders[0], "repair") == 20


def test_switch_says_what_it_stopped(bench, orders, at):
    work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    switched = work.switch(order=orders[1], kind="look", by=bench.technician, at=at + LATER)
    assert switched.stopped is not None
    assert (switched.stopped.order, switched.stopped.minutes) == (orders[0], 10)
    again = work.switch(order=orders[1], kind="look", by=bench.technician, at=at + 2 * LATER)
    assert (again.started, again.stopped) == (switched.started, None)


def test_kind_that_the_bench_does_not_know_is_refused(bench, orders, at):
    with pytest.raises(Refused):
        work.switch(order=orders[0], kind="nap", by=bench.technician, at=at)


def test_clock_that_is_a_little_behind_starts_where_the_last_ended(bench, orders, at):
    work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    work.stop(by=bench.technician, at=at + LATER)
    behind = work.start(
        order=orders[0], kind="look", by=bench.technician, at=at + LATER - timedelta(seconds=2)
    )
    assert behind.started_at == at + LATER


@pytest.mark.parametrize(
    ("begin", "end"), [(-5, 5), (5, 15), (2, 8), (-5, 15), (5, None), (-5, None), (0, 10), (5, 5)]
)
def test_database_refuses_clocked_minutes_that_overlap(bench, orders, at, begin, end):
    work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    work.stop(by=bench.technician, at=at + LATER)
    given = {
        "order": orders[1],
        "kind": "look",
        "started_at": at + timedelta(minutes=begin),
        "ended_at": None if end is None else at + timedelta(minutes=end),
    }
    with pytest.raises(IntegrityError, match="never overlap"), transaction.atomic():
        WorkSession.objects.create(**given, by=bench.technician)
    WorkSession.objects.create(**given, by=bench.owner)


def test_database_refuses_a_change_that_makes_minutes_overlap(bench, orders, at):
    for number in (0, 1):
        work.start(order=orders[number], kind="look", by=bench.technician, at=at + number * LATER)
    last = work.stop(by=bench.technician, at=at + 2 * LATER)
    with pytest.raises(IntegrityError, match="never overlap"), transaction.atomic():
        WorkSession.objects.filter(pk=last.pk).update(started_at=at + LATER / 2)


def test_minutes_by_hand_may_lie_over_clocked_ones(bench, orders, at):
    work.start(order=orders[0], kind="look", by=bench.technician, at=at - LATER)
    written = work.write_down(order=orders[1], kind="talk", minutes=30, by=bench.technician, at=at)
    assert written.by_hand
    assert work.stop(by=bench.technician, at=at) is not None


def test_deed_keeps_what_runs_from_being_idle(bench, orders, at):
    running = work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    work.touch(bench.technician, at + LATER, code=orders[0].code)
    work.touch(bench.technician, at + 2 * LATER, code=orders[1].code)
    work.touch(bench.technician, at + LATER / 2)
    work.touch(bench.owner, at + 3 * LATER)
    running.refresh_from_db()
    assert running.seen_at == at + LATER


def test_stop_at_the_last_deed_ends_there_and_only_what_was_asked_about(bench, orders, at):
    running = work.start(order=orders[0], kind="look", by=bench.technician, at=at)
    work.touch(bench.technician, at + LATER)
    ended = work.stop_at_last_deed(session=running, by=bench.technician, at=at + 6 * LATER)
    assert ended is not None and (ended.ended_at, ended.minutes) == (at + LATER, 10)
    work.start(order=orders[1], kind="look", by=bench.technician, at=at + 7 * LATER)
    assert work.stop_at_last_deed(session=running, by=bench.technician, at=at + 8 * LATER) is None
    assert work.running_of(bench.technician) is not None
