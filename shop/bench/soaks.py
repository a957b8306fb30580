"""Soaks: a row says how long the device must run, and two moments in it say since when. A restart loses nothing."""

import datetime as dt
from dataclasses import dataclass

from intake.history import in_turn
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Station
from shop.models import TestRow, TestRun

MINUTE = dt.timedelta(minutes=1)


@dataclass(frozen=True)
class Soak:
    """How the soak of a row stands. `state` is "not started", "running", "over" or "cut short"."""

    state: str
    ends_at: dt.datetime | None = None
    minutes_left: int = 0


@dataclass(frozen=True)
class Running:
    """A soak on some order that nobody has marked yet; `over` says that its time is up."""

    order: Order
    row: TestRow
    ends_at: dt.datetime
    over: bool


def soak_of(row: TestRow, at: dt.datetime) -> Soak:
    if row.soak_started_at is None:
        return Soak("not started")
    ends_at = row.soak_started_at + row.soak_minutes * MINUTE
    if row.soak_ended_at is not None:
        return Soak("over" if row.soak_ended_at >= ends_at else "cut short", ends_at)
    left = ends_at - at
    if left <= dt.timedelta(0):
        return Soak("over", ends_at)
    return Soak("running", ends_at, -(-left // MINUTE))


@in_turn
def start(*, row: TestRow, by: Person, at: dt.datetime) -> TestRow:
    """Start the soak of a row, or start it again after it was cut short. One that runs already runs on."""
    if not row.soak_minutes:
        raise Refused("This row has no soak.")
    fresh = TestRow.objects.get(pk=row.pk)
    if soak_of(fresh, at).state == "running":
        return fresh
    _write(row, by, soak_started_at=at, soak_ended_at=None)
    return TestRow.objects.get(pk=row.pk)


@in_turn
def stop(*, row: TestRow, by: Person, at: dt.datetime) -> TestRow:
    """Stop a soak that runs. After its time it ended when its time was up."""
    fresh = TestRow.objects.get(pk=row.pk)
    soak = soak_of(fresh, at)
    if fresh.soak_ended_at is not None or soak.ends_at is None:
        raise Refused("No soak is running on this row.")
    _write(row, by, soak_ended_at=min(at, soak.ends_at))
    return TestRow.objects.get(pk=row.pk)


def _write(row: TestRow, by: Person, **moments: dt.datetime | None) -> None:
    if not TestRow.objects.filter(pk=row.pk, run__signed_at__isnull=True).update(**moments):
        raise Refused("This test is signed. It cannot be changed.")
    TestRun.objects.filter(pk=row.run_id).exclude(by=by).update(by=by, second_by=None, second_at=None)


def soaks_running(at: dt.datetime) -> list[Running]:
    """Every soak that runs, or is over and waits to be marked, the first to end first. One query."""
    rows = TestRow.objects.filter(
        soak_minutes__gt=0,
        soak_started_at__isnull=False,
        soak_ended_at__isnull=True,
        result="",
        run__signed_at__isnull=True,
        run__order__station=Station.TEST,
    ).select_related("run__order__device")
    found = []
    for row in rows:
        soak = soak_of(row, at)
        assert soak.ends_at is not None  # noqa: S101 -- for the type checker; the query asks for a start
        found.append(Running(row.run.order, row, soak.ends_at, soak.state == "over"))
    return sorted(found, key=lambda one: (one.ends_at, one.row.pk))
