"""A clock that was forgotten, or stopped too late: its times are mended with a reason, and what it said is kept.

And minutes that no clock ran for, written afterwards.
"""

import datetime as dt

from django.db.models import Q
from django.utils import timezone

from intake import history, wording
from intake.history import in_turn
from intake.models import Order, Person
from intake.refusals import Refused
from shop.bench.minute_maths import LONGEST, is_forgotten, spent
from shop.bench.work import reckon, write_down
from shop.models import WorkSession

PRESSED_TWICE = dt.timedelta(minutes=1)


@in_turn
def mend(
    *,
    session: WorkSession,
    ended_at: dt.datetime,
    why: str,
    by: Person,
    at: dt.datetime,
    started_at: dt.datetime | None = None,
) -> WorkSession:
    """Set when clocked minutes ended, and if need be when they began. The first stop stays in `stopped_at`.

    Raises Refused: without a reason, for minutes by hand, for another person's unless by the owner, for an end before
    the start, in the future, over 12 hours, or over other minutes of the same person.
    """
    row = WorkSession.objects.select_for_update(of=("self",)).select_related("order", "by").get(pk=session.pk)
    begin = started_at or row.started_at
    _may_mend(row, by)
    _holds(row, begin, ended_at, why, at)
    facts = _facts(row, begin, ended_at, why)
    WorkSession.objects.filter(pk=row.pk).update(
        stopped_at=row.stopped_at or row.ended_at or at,
        started_at=begin,
        ended_at=ended_at,
        mended_at=at,
        mended_by=by,
        mended_why=why.strip()[:200],
    )
    reckon(row.order_id, row.kind)
    history.record(order=row.order, what="minutes mended", by=by.username, at=at, facts=facts)
    row.refresh_from_db()
    return row


@in_turn
def write_afterwards(
    *, order: Order, kind: str, minutes: int, note: str, by: Person, at: dt.datetime
) -> WorkSession:
    """Minutes that no clock ran for, with a word on what they were. The same again within a minute is one press.

    Raises Refused without a note, for an unknown kind, outside 1 to 720.
    """
    if not note.strip():
        raise Refused("Say in a few words what the minutes were for.", field="note")
    if kind not in WorkSession.Kind.values:
        raise Refused("Choose what the minutes are for.", field="kind")
    same = order.work.filter(
        kind=kind,
        minutes=minutes,
        note=note.strip()[:200],
        by=by,
        by_hand=True,
        ended_at__gt=at - PRESSED_TWICE,
    ).first()
    if same is not None:
        return same
    history.record(
        order=order,
        what="minutes by hand",
        by=by.username,
        at=at,
        facts={"kind": kind, "minutes": minutes, "note": note.strip()[:200]},
    )
    return write_down(order=order, kind=kind, minutes=minutes, note=note.strip(), by=by, at=at)


def forgotten(rows: list[WorkSession], at: dt.datetime) -> list[WorkSession]:
    """Those of `rows` that run and were forgotten, by the zone of the page."""
    zone = timezone.get_current_timezone()
    return [row for row in rows if row.ended_at is None and is_forgotten(row.started_at, at, zone)]


def _may_mend(row: WorkSession, by: Person) -> None:
    if row.by_hand:
        raise Refused("These minutes were written by hand. There is no clock to mend.")
    if row.by_id != by.pk and not by.is_owner:
        raise Refused(f"These are the minutes of {row.by}. They, or the owner, may mend them.")


def _holds(row: WorkSession, begin: dt.datetime, end: dt.datetime, why: str, at: dt.datetime) -> None:
    if not why.strip():
        raise Refused("Say in a few words why the time is mended.", field="why")
    if begin > at:
        raise Refused("That is still to come.", field="started")
    if end > at:
        raise Refused("That is still to come.", field="ended")
    if end < begin:
        raise Refused("That is before the start.", field="ended")
    if spent(begin, end) > LONGEST:
        raise Refused("That is over 12 hours. Write the rest as minutes of its own.", field="ended")
    over = _over(row, begin, end)
    if over is not None:
        raise Refused(f"{over} The minutes of one person never overlap.", field="ended")


def _over(row: WorkSession, begin: dt.datetime, end: dt.datetime) -> str | None:
    """A sentence for the first of the same person's other clocked minutes that these would lie over."""
    others = WorkSession.objects.filter(by=row.by, by_hand=False).exclude(pk=row.pk)
    later = Q(ended_at__isnull=True) | Q(ended_at__gt=begin)
    other = others.filter(later, started_at__lt=end).select_related("order").first()
    if other is None:
        return None
    start = wording.moment(timezone.localtime(other.started_at))
    stop = f"to {wording.clock(timezone.localtime(other.ended_at))}" if other.ended_at else "and still"
    return f"{row.by} was on {other.order.code} from {start} {stop}."


def _facts(row: WorkSession, begin: dt.datetime, end: dt.datetime, why: str) -> dict[str, object]:
    return {
        "session": row.pk,
        "kind": row.kind,
        "person": row.by.username,
        "from": [row.started_at.isoformat(), row.ended_at.isoformat() if row.ended_at else None],
        "to": [begin.isoformat(), end.isoformat()],
        "why": why.strip()[:200],
    }
