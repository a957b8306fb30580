"""The one door for each change of station, and the slips.

Every move is a conditional UPDATE that also checks the version the person saw; it works the same on
both engines, and of two people at one sheet exactly one gets through.
"""

import datetime as dt
from dataclasses import dataclass

from intake import history
from intake.history import in_turn
from intake.models import Order, Person, Slip, StationLine
from intake.refusals import Refused
from intake.stations import MOVES, NAMES, Outcome, SlipReason, Station, may_move


class LifecycleError(Refused):
    """A change of station that may not be."""


class IllegalMove(LifecycleError):
    """The table of moves does not know this move."""


class SheetMoved(LifecycleError):
    """Somebody else signed meanwhile, or the page is old."""


@dataclass(frozen=True)
class Actor:
    """Who does it: a member of staff, the customer, or the clock."""

    name: str
    initials: str
    person: Person | None = None


CUSTOMER = Actor("customer", "WEB")
CLOCK = Actor("clock", "CLK")


def must_stand_at(order: Order, *stations: Station) -> None:
    """Refuse an act that belongs to other stations; the table of moves alone cannot tell two acts apart.

    Raises IllegalMove.
    """
    if order.station not in stations:
        raise IllegalMove(
            f"This is done at {NAMES[stations[0]]}. The order stands at {NAMES[Station(order.station)]}."
        )


def staff(person: Person) -> Actor:
    return Actor(person.username, person.initials or person.username[:2].upper(), person)


@in_turn
def open_sheet(
    order: Order, *, at: dt.datetime, by: Actor, note: str = "", signed_request: bool = True
) -> None:
    """Write the first lines of a new sheet: 10 signed (when a form was sent), 20 open."""
    if signed_request:
        StationLine.objects.create(
            order=order,
            station=Station.REQUEST,
            opened_at=at,
            signed_at=at,
            initials=by.initials,
            signed_by=by.person,
            note=note,
        )
    StationLine.objects.create(order=order, station=Station.GOODS_IN, opened_at=at)
    history.record(
        order=order, what="sheet opened", by=by.name, at=at, facts={"station": int(Station.GOODS_IN)}
    )


@in_turn
def advance(
    order: Order,
    *,
    to: Station,
    seen_version: int,
    by: Actor,
    at: dt.datetime,
    note: str = "",
    minutes: int | None = None,
    outcome: Outcome | None = None,
    facts: dict[str, object] | None = None,
) -> Order:
    """Sign the open station and open `to`: the one door.

    1. Refuse what the table of moves does not know.
    2. UPDATE where station and version are still what the person saw; no row means somebody was quicker.
    3. Sign the open line, open the next (none on the way home or at home).
    4. One history row. Letters are the caller's, in the same transaction.

    Raises IllegalMove, SheetMoved. Returns the order as it now stands.
    """
    come_from = Station(order.station)
    if not may_move(come_from, to):
        raise IllegalMove(f"An order at {NAMES[come_from]} cannot go to {NAMES[to]}.")
    _move(order, come_from, to, seen_version, outcome, at)
    _sign_open_line(order, by=by, at=at, note=note, minutes=minutes)
    if to is Station.HOME:
        _end_slips(order, by=by, at=at)
    else:
        visit = StationLine.objects.filter(order=order, station=int(to)).count() + 1
        StationLine.objects.create(order=order, station=int(to), visit=visit, opened_at=at)
    told = {"from": int(come_from), "to": int(to), "why": MOVES[come_from, to], "outcome": str(outcome or "")}
    history.record(order=order, what="moved", by=by.name, at=at, facts={**told, **(facts or {})})
    order.refresh_from_db()
    return order


def _move(
    order: Order,
    come_from: Station,
    to: Station,
    seen_version: int,
    outcome: Outcome | None,
    at: dt.datetime,
) -> None:
    changes: dict[str, object] = {"station": int(to), "version": seen_version + 1}
    if outcome is not None:
        changes["outcome"] = str(outcome)
    if to is Station.HOME:
        changes["closed_at"] = at
    moved = Order.objects.filter(pk=order.pk, station=int(come_from), version=seen_version).update(**changes)
    if moved != 1:
        raise SheetMoved("This sheet has moved on since you opened it. Here is how it stands now.")


def _sign_open_line(order: Order, *, by: Actor, at: dt.datetime, note: str, minutes: int | None) -> None:
    line = StationLine.objects.get(order=order, signed_at__isnull=True)
    line.signed_at = max(at, line.opened_at)
    line.initials, line.signed_by, line.minutes = by.initials, by.person, minutes
    if note:
        line.note = note
    line.save(update_fields=["signed_at", "initials", "signed_by", "minutes", "note"])


def _end_slips(order: Order, *, by: Actor, at: dt.datetime) -> None:
    """Nothing holds up what is closed; an open slip would keep a clock running for good."""
    for slip in order.slips.filter(ended_at__isnull=True):
        slip.ended_at, slip.ended_by, slip.end_note = (
            max(at, slip.started_at),
            by.name,
            "The sheet was closed.",
        )
        slip.save(update_fields=["ended_at", "ended_by", "end_note"])


@in_turn
def touch(order: Order, *, seen_version: int) -> None:
    """Claim the sheet's version for a change that leaves the station alone. Raises SheetMoved."""
    if Order.objects.filter(pk=order.pk, version=seen_version).update(version=seen_version + 1) != 1:
        raise SheetMoved("This sheet has changed since you opened it. Here is how it stands now.")
    order.version = seen_version + 1


@in_turn
def hold(
    order: Order,
    *,
    reason: SlipReason,
    by: Actor,
    at: dt.datetime,
    note: str = "",
    due: dt.date | None = None,
) -> Slip:
    """Put a slip on the order. An open slip of the same reason is kept and returned."""
    slip, made = Slip.objects.get_or_create(
        order=order,
        reason=str(reason),
        ended_at=None,
        defaults={"note": note, "started_at": at, "started_by": by.name, "due": due},
    )
    if made:
        history.record(order=order, what="held", by=by.name, at=at, facts={"reason": str(reason)})
    return slip


@in_turn
def release(order: Order, *, reason: SlipReason, by: Actor, at: dt.datetime, note: str = "") -> bool:
    """Take the open slip of that reason off. Says whether there was one."""
    ended = Slip.objects.filter(order=order, reason=str(reason), ended_at__isnull=True).update(
        ended_at=at, ended_by=by.name, end_note=note
    )
    if ended:
        history.record(order=order, what="let go", by=by.name, at=at, facts={"reason": str(reason)})
    return bool(ended)
