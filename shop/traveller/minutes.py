"""What a sheet shows of the minutes: what runs, what is written so far, and the rows to mend."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.utils import timezone

from intake.models import Order, Person
from intake.stations import Station
from shop.bench import work
from shop.bench.minute_maths import is_forgotten, spent
from shop.models import WorkSession
from shop.traveller.forms.minutes import WriteDownForm

Kind = WorkSession.Kind
# What the minutes are for unless somebody says otherwise; at every other station people talk and write.
USUAL_KIND = {Station.DIAGNOSIS: Kind.LOOK, Station.REPAIR: Kind.REPAIR, Station.TEST: Kind.TEST}


def usual_kind(station: Station) -> str:
    return str(USUAL_KIND.get(station, Kind.TALK))


def minutes_here(order: Order, person: Person, at: dt.datetime, kind: str = "look") -> dict[str, Any]:
    """What runs, and what is written down already: for the signature column and the line with the switch.

    `running` is the person's own session on this order, of whatever kind; `clock` the time of `kind` so far.
    """
    running = work.running_of(person)
    mine = running if running is not None and running.order_id == order.pk else None
    written = work.minutes_of(order, kind)
    here = mine is not None and mine.kind == kind
    gone = written + (spent(mine.started_at, at) // dt.timedelta(minutes=1) if mine and here else 0)
    before = written if here or mine is None else work.minutes_of(order, mine.kind)
    return {
        "written": written,
        "written_before": before,
        "running": mine,
        "running_elsewhere": running if running is not None and mine is None else None,
        "minute_kinds": Kind.choices,
        "minute_kind": mine.kind if mine else kind,
        "minutes_words": Kind(kind).label.lower(),
        "clock": f"{gone // 60}:{gone % 60:02d}",
        "runs_for": _as_clock(before, mine, at),
    }


def _as_clock(before: int, mine: WorkSession | None, at: dt.datetime) -> str:
    gone = before + (spent(mine.started_at, at) // dt.timedelta(minutes=1) if mine else 0)
    return f"{gone // 60}:{gone % 60:02d}"


def minutes_side(
    order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]
) -> dict[str, Any]:
    """The rows of the sheet's minutes, the form for minutes by hand, and the switch where no station has its own."""
    rows = list(order.work.select_related("by"))
    zone = timezone.get_current_timezone()
    kind = usual_kind(order.at_station)
    at_the_bench = order.at_station in USUAL_KIND
    return {
        "rows": [
            {
                "session": row,
                "forgotten": row.ended_at is None and is_forgotten(row.started_at, at, zone),
                "may_mend": not row.by_hand and (row.by_id == person.pk or person.is_owner),
            }
            for row in rows
        ],
        "sum": sum(row.minutes for row in rows),
        "sees_margin": person.is_owner and order.arrived_at is not None,
        "form": forms.get("minutes") or WriteDownForm(prefix="minutes", initial={"kind": kind}),
        "switch": None if at_the_bench else minutes_here(order, person, at, kind),
    }
