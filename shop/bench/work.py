"""Minutes at the bench: start, stop, switch; or written down afterwards.

Clocked minutes are exact times from which the minutes are counted (see `minute_maths`): each row carries what it
adds to the rows of its order and kind that ended before it, so that a plain sum of `minutes` is always right, and
is rounded up once. Rows by hand are minutes of a day: they keep what was written, and may lie over each other.
"""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Max, Q, Sum
from django.utils import timezone

from intake import history
from intake.history import in_turn
from intake.models import Order, Person
from intake.refusals import Refused
from shop.bench.minute_maths import LONGEST, MINUTE, is_forgotten, is_idle, shares, spent
from shop.models import WorkSession

MOST_MINUTES = LONGEST // MINUTE


@dataclass(frozen=True)
class Switched:
    """What runs now, and what it stopped; None where nothing else ran."""

    started: WorkSession
    stopped: WorkSession | None = None


@in_turn
def switch(*, order: Order, kind: str, by: Person, at: dt.datetime) -> Switched:
    """Start the minutes of a person on an order; what ran before is stopped, so that none overlap.

    What ran and was forgotten ends where a hand last did something on its order.

    Raises Refused for a kind of work that the bench does not know.
    """
    if kind not in WorkSession.Kind.values:
        raise Refused("Choose what the minutes are for.", field="kind")
    running = _open_of(by)
    if running is not None:
        if running.order_id == order.pk and running.kind == kind:
            return Switched(running)
        _leave(running, at)
    begin = max(at, _free_from(by) or at)
    started = WorkSession.objects.create(order=order, kind=kind, started_at=begin, seen_at=begin, by=by)
    return Switched(started, running)


def start(*, order: Order, kind: str, by: Person, at: dt.datetime) -> WorkSession:
    """As `switch`, for whom it is enough to know what runs now."""
    return switch(order=order, kind=kind, by=by, at=at).started


@in_turn
def stop(*, by: Person, at: dt.datetime) -> WorkSession | None:
    """Stop what a person has running; None if nothing runs."""
    running = _open_of(by)
    if running is not None:
        _end(running, at)
    return running


@in_turn
def leave(*, by: Person, at: dt.datetime) -> WorkSession | None:
    """As `stop`, but a clock that was forgotten ends at its last deed; its `ended_at` is then before `at`."""
    running = _open_of(by)
    if running is not None:
        _leave(running, at)
    return running


@in_turn
def stop_at_last_deed(*, session: WorkSession, by: Person, at: dt.datetime) -> WorkSession | None:
    """Stop a running session where a hand last did something; None if it runs no more. At most `at`."""
    running = _open_of(by)
    if running is None or running.pk != session.pk:
        return None
    _end(running, min(at, running.seen_at or running.started_at))
    return running


def touch(person: Person, at: dt.datetime, *, code: str = "") -> None:
    """A hand did something: what the person has running is not idle. With the `code` of an order only if it runs there."""
    running = WorkSession.objects.filter(by=person, ended_at__isnull=True)
    if code:
        running = running.filter(order__code=code)
    running.filter(Q(seen_at__isnull=True) | Q(seen_at__lt=at)).update(seen_at=at)


@in_turn
def write_down(
    *, order: Order, kind: str, minutes: int, by: Person, at: dt.datetime, note: str = ""
) -> WorkSession:
    """Minutes noted by hand. Raises Refused outside 1 to 720."""
    if not 1 <= minutes <= MOST_MINUTES:
        raise Refused(f"Minutes are between 1 and {MOST_MINUTES}.", field="minutes")
    history.touch(order.pk)
    return WorkSession.objects.create(
        order=order,
        kind=kind,
        started_at=at - dt.timedelta(minutes=minutes),
        ended_at=at,
        minutes=minutes,
        by=by,
        by_hand=True,
        note=note[:200],
    )


def minutes_of(order: Order, *kinds: str) -> int:
    """Minutes on an order so far, of these kinds or of all; what still runs is not in it."""
    rows = order.work.filter(ended_at__isnull=False)
    if kinds:
        rows = rows.filter(kind__in=kinds)
    return rows.aggregate(sum=Sum("minutes"))["sum"] or 0


def running_of(person: Person) -> WorkSession | None:
    return WorkSession.objects.select_related("order").filter(by=person, ended_at__isnull=True).first()


@in_turn
def close_for(order: Order, *, by: Person, at: dt.datetime) -> None:
    """When a station is signed, what the signer has running on that order stops; forgotten, at its last deed."""
    running = _open_of(by)
    if running is not None and running.order_id == order.pk:
        _leave(running, at)


def reckon(order_id: int, kind: str) -> None:
    """Count the clocked minutes of an order and a kind anew; in the transaction of what changed them."""
    rows = list(
        WorkSession.objects.filter(
            order_id=order_id, kind=kind, by_hand=False, ended_at__isnull=False
        ).order_by("ended_at", "id")
    )
    spans = [spent(row.started_at, row.ended_at) for row in rows if row.ended_at]
    history.touch(order_id)
    for row, minutes in zip(rows, shares(spans), strict=True):
        if row.minutes != minutes:
            WorkSession.objects.filter(pk=row.pk).update(minutes=minutes)


def _open_of(person: Person) -> WorkSession | None:
    rows = WorkSession.objects.select_for_update(of=("self",)).select_related("order")
    return rows.filter(by=person, ended_at__isnull=True).first()


def _free_from(person: Person) -> dt.datetime | None:
    """When the last clocked minutes of a person ended: another machine's clock may be a little ahead of this one."""
    clocked = WorkSession.objects.filter(by=person, by_hand=False, ended_at__isnull=False)
    last: dt.datetime | None = clocked.aggregate(last=Max("ended_at"))["last"]
    return last


def _leave(session: WorkSession, at: dt.datetime) -> None:
    """End what runs. A clock that nobody looked after would book the whole night: it ends at the last deed."""
    seen = session.seen_at or session.started_at
    zone = timezone.get_current_timezone()
    if not (is_forgotten(session.started_at, at, zone) and is_idle(seen, at)):
        _end(session, at)
        return
    _end(session, seen)
    facts = {"session": session.pk, "kind": session.kind, "from": at.isoformat(), "to": seen.isoformat()}
    history.record(order=session.order, what="forgotten clock", by=session.by.username, at=at, facts=facts)


def _end(session: WorkSession, at: dt.datetime) -> None:
    session.ended_at = max(at, session.started_at)
    session.save(update_fields=["ended_at"])
    reckon(session.order_id, session.kind)
    session.refresh_from_db(fields=["minutes"])
