"""In which order hands should take the work, and why. Pure: plain values in, plain values out.

The order is common practice, no source: danger first, then a promise that is due, then people who wait for a
word, then what only needs packing, then the rest by the day it should be done.
"""

import datetime as dt
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum

from intake import wording
from intake.stations import Clock, SlipReason, Station, whose_clock

# Without a promise a device should be looked at within two days; common practice, no source.
LOOK_WITHIN_DAYS = 2
DUE_SOON_DAYS = 1


@dataclass(frozen=True)
class Job:
    """One open order as the day sheet needs it. Times are in the shop's zone; `owed` is above nought or not.

    `begun`: minutes or readings exist at the open station.
    """

    code: str
    station: Station
    since: dt.datetime
    promise: dt.date | None = None
    arrived: bool = False
    posted: bool = False
    slips: frozenset[SlipReason] = frozenset()
    slip_since: dt.datetime | None = None
    question_since: dt.datetime | None = None
    letter_stuck: bool = False
    quote_lapsed: bool = False
    owes: bool = False
    begun: bool = False
    outcome: str = ""


class Turn(IntEnum):
    """Which comes before which."""

    DANGER = 0
    DUE = 1
    PEOPLE = 2
    PACK = 3
    WORK = 4


class Waits(StrEnum):
    """Who has to act where it is not the shop."""

    CUSTOMER = "for the customer"
    PARTS = "for parts"
    POST = "with the post"


@dataclass(frozen=True)
class Placed:
    """A job in its place: `reason` is what stands beside it; `late` marks a promise that is over."""

    job: Job
    reason: str
    turn: Turn = Turn.WORK
    late: bool = False
    due: dt.date = dt.date.max


@dataclass(frozen=True)
class Waiting:
    job: Job
    waits: Waits
    reason: str
    days: int


@dataclass(frozen=True)
class DaySheet:
    """`hands` in order; `waiting` by whom, the longest first; `expected` parcels; `bags` on the shelf."""

    hands: list[Placed] = field(default_factory=list)
    waiting: list[Waiting] = field(default_factory=list)
    expected: int = 0
    bags: int = 0


def lay_out(jobs: list[Job], *, now: dt.datetime) -> DaySheet:
    """Sort every open order into hands, waiting or expected. `now` is in the shop's zone."""
    hands: list[Placed] = []
    waiting: list[Waiting] = []
    expected = 0
    for job in jobs:
        if placed := place(job, now=now):
            hands.append(placed)
        elif not job.arrived and job.station is Station.GOODS_IN:
            expected += 1
        else:
            waiting.append(wait(job, now=now))
    hands.sort(key=lambda placed: (placed.turn, placed.due, placed.job.since, placed.job.code))
    waiting.sort(key=lambda row: (-row.days, row.job.since, row.job.code))
    bags = sum(job.arrived and job.station < Station.WAY_HOME for job in jobs)
    return DaySheet(hands, waiting, expected, bags)


def place(job: Job, *, now: dt.datetime) -> Placed | None:
    """Where it stands among what needs hands; None where somebody else has to act."""
    if SlipReason.QUARANTINE in job.slips:
        return Placed(job, "battery in quarantine: look at it", Turn.DANGER)
    if job.letter_stuck:
        return Placed(job, "letter could not be sent", Turn.PEOPLE)
    if job.question_since:
        return Placed(job, f"question waiting since {_since(job.question_since, now)}", Turn.PEOPLE)
    if job.quote_lapsed and not job.slips:
        return Placed(job, "quote lapsed", Turn.PEOPLE)
    packing = job.station is Station.GOODS_OUT
    if whose_clock(job.station, job.slips, posted=job.posted) is not Clock.SHOP or (packing and job.owes):
        return None
    return _in_the_shop(job, now)


def _in_the_shop(job: Job, now: dt.datetime) -> Placed:
    what = _what_next(job, now)
    if job.promise is None:
        due = job.since.date() + dt.timedelta(days=LOOK_WITHIN_DAYS)
        return Placed(job, what, Turn.PACK if job.station is Station.GOODS_OUT else Turn.WORK, due=due)
    left = (job.promise - now.date()).days
    if left <= DUE_SOON_DAYS:
        return Placed(job, f"{_promised(job.promise, left)}; {what}", Turn.DUE, left < 0, job.promise)
    turn = Turn.PACK if job.station is Station.GOODS_OUT else Turn.WORK
    return Placed(job, f"{_promised(job.promise, left)}; {what}", turn, due=job.promise)


def _promised(day: dt.date, left: int) -> str:
    if left < 0:
        return f"promised for {wording.day(day)}, {wording.count(-left, 'day')} over"
    return {0: "promised today", 1: "promised tomorrow"}.get(left, f"promised for {wording.day(day)}")


def _what_next(job: Job, now: dt.datetime) -> str:
    day = _on(job.since.date(), now.date())
    match job.station:
        case Station.DIAGNOSIS:
            return f"being looked at since {day}" if job.begun else f"arrived {day}, not looked at"
        case Station.QUOTE:
            return f"fault found {day}, no quote sent"
        case Station.REPAIR:
            return "repair begun" if job.begun else f"agreed {day}, not begun"
        case Station.TEST:
            return "test begun" if job.begun else "mended, to be tested"
        case Station.GOODS_OUT:
            return _way_out(job)
        case _:
            return f"at this station since {day}"


def _way_out(job: Job) -> str:
    if job.outcome == "recycled":
        return "to be wiped and recycled"
    if job.outcome == "own damage":
        return "our own damage: to make good, then to go back"
    return "to go back as it is" if job.outcome in ("declined", "no fix") else "paid, to be packed"


_BY_CLOCK = {Clock.SUPPLIER: Waits.PARTS, Clock.CARRIER: Waits.POST}


def wait(job: Job, *, now: dt.datetime) -> Waiting:
    """Whom it waits for and since when."""
    clock = whose_clock(job.station, job.slips, posted=job.posted)
    start = job.slip_since if job.slips and job.slip_since else job.since
    days = max(0, (now.date() - start.date()).days)
    return Waiting(job, _BY_CLOCK.get(clock, Waits.CUSTOMER), _why_waiting(job), days)


def _why_waiting(job: Job) -> str:
    if job.slips:
        return ", ".join(sorted(str(slip) for slip in job.slips))
    if job.station is Station.GOODS_OUT:
        return "to pay"
    if job.station is Station.GO_AHEAD:
        return "to answer the quote"
    return "on its way home" if job.station is Station.WAY_HOME else "to act"


def _since(start: dt.datetime, now: dt.datetime) -> str:
    return wording.clock(start) if start.date() == now.date() else wording.day(start.date())


def _on(day: dt.date, today: dt.date) -> str:
    """'today', 'yesterday', 'Monday' within a week, else the date."""
    ago = (today - day).days
    if ago <= 0:
        return "today"
    return "yesterday" if ago == 1 else f"{day:%A}" if ago < 7 else wording.day(day)
