"""Minutes at the bench: start, stop, switch; or written down afterwards with a reason."""

import datetime as dt

from django.db.models import Sum

from intake.history import in_turn
from intake.models import Order, Person
from intake.refusals import Refused
from shop.models import WorkSession

LONGEST = 12 * 60


@in_turn
def start(*, order: Order, kind: str, by: Person, at: dt.datetime) -> WorkSession:
    """Start the minutes of a person on an order; what ran before is stopped, so that none overlap."""
    running = WorkSession.objects.select_for_update().filter(by=by, ended_at__isnull=True).first()
    if running is not None:
        if running.order_id == order.pk and running.kind == kind:
            return running
        _end(running, at)
    return WorkSession.objects.create(order=order, kind=kind, started_at=at, by=by)


@in_turn
def stop(*, by: Person, at: dt.datetime) -> WorkSession | None:
    """Stop what a person has running; None if nothing runs."""
    running = WorkSession.objects.select_for_update().filter(by=by, ended_at__isnull=True).first()
    if running is not None:
        _end(running, at)
    return running


def _end(session: WorkSession, at: dt.datetime) -> None:
    session.ended_at = max(at, session.started_at)
    seconds = (session.ended_at - session.started_at).total_seconds()
    # A started minute counts, as a bench writes it down.
    session.minutes = min(LONGEST, max(1, -(-int(seconds) // 60)))
    session.save(update_fields=["ended_at", "minutes"])


@in_turn
def write_down(
    *, order: Order, kind: str, minutes: int, by: Person, at: dt.datetime, note: str = ""
) -> WorkSession:
    """Minutes noted by hand. Raises Refused outside 1 to 720."""
    if not 1 <= minutes <= LONGEST:
        raise Refused("Minutes are between 1 and 720.", field="minutes")
    return WorkSession.objects.create(
        order=order,
        kind=kind,
        started_at=at - dt.timedelta(minutes=minutes),
        ended_at=at,
        minutes=minutes,
        by=by,
        note=note[:200],
    )


def minutes_of(order: Order, *kinds: str) -> int:
    """Minutes written on an order so far, of these kinds or of all."""
    rows = order.work.filter(ended_at__isnull=False)
    if kinds:
        rows = rows.filter(kind__in=kinds)
    return rows.aggregate(sum=Sum("minutes"))["sum"] or 0


def running_of(person: Person) -> WorkSession | None:
    return WorkSession.objects.select_related("order").filter(by=person, ended_at__isnull=True).first()


@in_turn
def close_for(order: Order, *, by: Person, at: dt.datetime) -> None:
    """When a station is signed, what the signer has running on that order stops."""
    running = WorkSession.objects.filter(by=by, order=order, ended_at__isnull=True).first()
    if running is not None:
        _end(running, at)
