"""Forgotten clocks: mended with a reason, what they said is kept, and no mend makes minutes overlap."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from intake.models import HistoryEntry
from intake.refusals import Refused
from shop.bench import work
from shop.bench.mending import forgotten, mend
from shop.models import WorkSession
from tests import walk

HOUR = timedelta(hours=1)


@pytest.fixture
def order(bench, at):
    return walk.request(at=at)


@pytest.fixture
def running(bench, order, at):
    return work.start(order=order, kind="repair", by=bench.technician, at=at)


def test_running_clock_is_mended_and_stops(bench, order, running, at):
    mended = mend(
        session=running, ended_at=at + HOUR, why="Went home", by=bench.technician, at=at + 10 * HOUR
    )
    assert (mended.ended_at, mended.minutes, mended.stopped_at) == (at + HOUR, 60, at + 10 * HOUR)
    assert (mended.mended_by, mended.mended_why) == (bench.technician, "Went home")
    assert work.running_of(bench.technician) is None
    entry = HistoryEntry.objects.get(what="minutes mended")
    assert (entry.order, entry.facts["why"], entry.facts["from"][1]) == (order, "Went home", None)


def test_second_mend_keeps_what_the_clock_said_first(bench, running, at):
    work.stop(by=bench.technician, at=at + 9 * HOUR)
    running.refresh_from_db()
    for hours in (2, 3):
        mended = mend(
            session=running, ended_at=at + hours * HOUR, why="Lunch", by=bench.owner, at=at + 20 * HOUR
        )
    assert (mended.stopped_at, mended.ended_at, mended.minutes) == (at + 9 * HOUR, at + 3 * HOUR, 180)
    assert HistoryEntry.objects.filter(what="minutes mended").count() == 2


def test_start_can_be_mended_too(bench, running, at):
    mended = mend(
        session=running,
        started_at=at - HOUR,
        ended_at=at + HOUR,
        why="Began before",
        by=bench.technician,
        at=at + HOUR,
    )
    assert (mended.started_at, mended.minutes) == (at - HOUR, 120)


@pytest.mark.parametrize(
    ("changes", "said", "field"),
    [
        ({"why": "  "}, "Say in a few words", "why"),
        ({"ended": -1}, "before the start", "ended"),
        ({"ended": 21}, "still to come", "ended"),
        ({"started": 21, "ended": 22}, "still to come", "started"),
        ({"ended": 13}, "over 12 hours", "ended"),
        ({"started": -3}, "never overlap", "ended"),
    ],
)
def test_mend_that_cannot_be_is_refused_beside_its_field(bench, order, at, changes, said, field):
    work.start(order=order, kind="look", by=bench.technician, at=at - 3 * HOUR)
    work.stop(by=bench.technician, at=at - 2 * HOUR)
    running = work.start(order=order, kind="repair", by=bench.technician, at=at)
    with pytest.raises(Refused, match=said) as refused:
        mend(
            session=running,
            started_at=at + changes["started"] * HOUR if "started" in changes else None,
            ended_at=at + changes.get("ended", 1) * HOUR,
            why=changes.get("why", "Forgot"),
            by=bench.technician,
            at=at + 20 * HOUR,
        )
    assert refused.value.field == field
    running.refresh_from_db()
    assert running.ended_at is None


def test_minutes_of_another_person_are_mended_by_the_owner_alone(bench, order, running, at):
    owners = work.start(order=order, kind="look", by=bench.owner, at=at)
    with pytest.raises(Refused, match="minutes of"):
        mend(session=owners, ended_at=at + HOUR, why="x", by=bench.technician, at=at + HOUR)
    assert mend(session=running, ended_at=at + HOUR, why="x", by=bench.owner, at=at + HOUR).minutes == 60


def test_minutes_by_hand_have_no_clock_to_mend(bench, order, at):
    written = work.write_down(order=order, kind="talk", minutes=5, by=bench.technician, at=at)
    with pytest.raises(Refused, match="by hand"):
        mend(session=written, ended_at=at, why="x", by=bench.technician, at=at)


def test_mend_counts_the_minutes_of_its_kind_anew(bench, order, at):
    for start, stop in ((0, 30), (40, 70), (80, 100)):
        row = work.start(order=order, kind="look", by=bench.technician, at=at + timedelta(seconds=start))
        work.stop(by=bench.technician, at=at + timedelta(seconds=stop))
    assert work.minutes_of(order, "look") == 2
    mend(session=row, ended_at=at + timedelta(seconds=80), why="x", by=bench.technician, at=at + HOUR)
    assert work.minutes_of(order, "look") == 1
    assert sum(WorkSession.objects.values_list("minutes", flat=True)) == 1


def test_database_asks_for_a_reason_too(running, at):
    with pytest.raises(IntegrityError), transaction.atomic():
        WorkSession.objects.filter(pk=running.pk).update(mended_at=at)


def test_forgotten_are_those_that_run_too_long(bench, running, at):
    assert forgotten([running], at + 3 * HOUR) == []
    assert forgotten([running], at + 5 * HOUR) == [running]
    work.stop(by=bench.technician, at=at + 5 * HOUR)
    running.refresh_from_db()
    assert forgotten([running], at + 9 * HOUR) == []
