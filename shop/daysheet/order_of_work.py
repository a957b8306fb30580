"""In which order hands should take the work, and why. Pure: plain values in, plain values out.

The order is common practice, no source: danger first, then a promise that is due, then people who wait for a
word, then what only needs packing, then the rest. Within each, the least slack first: the bench time until the promise
less the minutes that what comes next still takes.
"""

import datetime as dt
from dataclasses import dataclass, field, replace
from enum import IntEnum, StrEnum

from intake import wording
from intake.stations import Clock, SlipReason, Station, whose_clock
from shop.returns.silence import is_silent

# Without a promise a device should be looked at within two days; common practice, no source.
LOOK_WITHIN_DAYS = 2
DUE_SOON_DAYS = 1
# What a day holds at the bench; common practice, no source.
BENCH_DAY_MINUTES = 8 * 60
# Stations at which two of the same board are best taken one after the other.
AT_THE_BENCH = (Station.DIAGNOSIS, Station.REPAIR, Station.TEST)
MOST_NAMED = 5
# From here on a length is said in hours.
LONG_MINUTES = 120


@dataclass(frozen=True)
class Job:
    """One open order as the day sheet needs it. Times are in the shop's zone; `owed` is above nought or not.

    `begun`: minutes or readings exist at the open station. `left`: minutes that what comes next still takes, below
    nought when it took more than was planned, None where nobody can say; `about`: they are the usual ones, not agreed.
    `family` is what kind of device it is, in words, and `alike` how it is compared. `soak_ends`: when the soak at the
    test is over, or was.
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
    bag: str = ""
    soak_ends: dt.datetime | None = None
    family: str = ""
    alike: str = ""
    left: int | None = None
    about: bool = False


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
    """A job in its place: `reason` is what stands beside it; `late` marks a promise that is over; `hint` names
    others of the same kind in hand."""

    job: Job
    reason: str
    turn: Turn = Turn.WORK
    late: bool = False
    due: dt.date = dt.date.max
    hint: str = ""

    def slack(self, today: dt.date) -> int:
        """Minutes of bench time until it is due, less those the next work takes."""
        return (self.due - today).days * BENCH_DAY_MINUTES - max(0, self.job.left or 0)


@dataclass(frozen=True)
class Waiting:
    """`since` is when the wait began, in the shop's zone; `days` whole days by the calendar."""

    job: Job
    waits: Waits
    reason: str
    days: int
    since: dt.datetime


@dataclass(frozen=True)
class DaySheet:
    """`hands` in order; `waiting` by whom, the longest first; `expected` parcels; `bags` on the shelf."""

    hands: list[Placed] = field(default_factory=list)
    waiting: list[Waiting] = field(default_factory=list)
    expected: int = 0
    bags: int = 0

    @property
    def by_whom(self) -> list[tuple[Waits, list[Waiting]]]:
        """`waiting` in groups, by who has to act; each keeps its order."""
        groups = ((waits, [row for row in self.waiting if row.waits is waits]) for waits in Waits)
        return [(waits, rows) for waits, rows in groups if rows]


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
    today = now.date()
    hands.sort(key=lambda placed: (placed.turn, placed.slack(today), placed.job.since, placed.job.code))
    waiting.sort(key=lambda row: (-row.days, row.job.since, row.job.code))
    bags = sum(job.arrived and job.station < Station.WAY_HOME for job in jobs)
    return DaySheet(_hinted(hands), waiting, expected, bags)


def _hinted(hands: list[Placed]) -> list[Placed]:
    """Others of the same kind are named beside the first of them, so that they are taken together."""
    groups: dict[str, list[Job]] = {}
    for placed in hands:
        if placed.job.alike and placed.job.station in AT_THE_BENCH:
            groups.setdefault(placed.job.alike, []).append(placed.job)
    hints = {jobs[0].code: _hint(jobs[0], jobs[1:]) for jobs in groups.values() if len(jobs) > 1}
    return [replace(placed, hint=hints.get(placed.job.code, "")) for placed in hands]


def _hint(first: Job, others: list[Job]) -> str:
    named = ", ".join(job.bag or job.code for job in others[:MOST_NAMED])
    more = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
    return f"{len(others)} more {first.family} in hand: {named}{more}"


def place(job: Job, *, now: dt.datetime) -> Placed | None:
    """Where it stands among what needs hands; None where somebody else has to act."""
    asked = f"question waiting since {_since(job.question_since, now)}" if job.question_since else ""
    if SlipReason.QUARANTINE in job.slips:
        return Placed(job, _both("battery in quarantine: look at it", asked), Turn.DANGER)
    if job.letter_stuck:
        return Placed(job, _both("letter could not be sent", asked), Turn.PEOPLE)
    if asked:
        return Placed(job, asked, Turn.PEOPLE)
    if job.quote_lapsed and not job.slips:
        return Placed(job, "quote lapsed", Turn.PEOPLE)
    days = (now.date() - job.since.date()).days
    if job.station is Station.WAY_HOME and not job.slips and is_silent(days):
        return Placed(job, f"on its way for {wording.count(days, 'day')}: ask the carrier", Turn.PEOPLE)
    packing = job.station is Station.GOODS_OUT
    if whose_clock(job.station, job.slips, posted=job.posted) is not Clock.SHOP or (packing and job.owes):
        return None
    return _in_the_shop(job, now)


def _both(reason: str, asked: str) -> str:
    """What goes first, and the person who waits for a word all the same."""
    return f"{reason}; {asked}" if asked else reason


def _in_the_shop(job: Job, now: dt.datetime) -> Placed:
    what = _what_next(job, now)
    if job.promise is None:
        due = job.since.date() + dt.timedelta(days=LOOK_WITHIN_DAYS)
        return Placed(job, what, Turn.PACK if job.station is Station.GOODS_OUT else Turn.WORK, due=due)
    left = (job.promise - now.date()).days
    if left <= DUE_SOON_DAYS:
        return Placed(job, f"{_promised(job, job.promise, left)}; {what}", Turn.DUE, left < 0, job.promise)
    turn = Turn.PACK if job.station is Station.GOODS_OUT else Turn.WORK
    return Placed(job, f"{_promised(job, job.promise, left)}; {what}", turn, due=job.promise)


def _promised(job: Job, day: dt.date, days: int) -> str:
    said = {0: "promised today", 1: "promised tomorrow"}.get(days, f"promised for {wording.day(day)}")
    over = f"{said}, {wording.count(-days, 'day')} over" if days < 0 else said
    return f"{over}, {_left(job)}" if job.left is not None else over


def _left(job: Job) -> str:
    """'40 minutes of work left', 'about 20 minutes of work left' or, when it took longer than planned, '5 minutes over the plan'."""
    left = job.left or 0
    said = wording.count(abs(left), "minute") if abs(left) < LONG_MINUTES else wording.minutes(abs(left))
    return f"{said} over the plan" if left < 0 else f"{'about ' if job.about else ''}{said} of work left"


def _what_next(job: Job, now: dt.datetime) -> str:
    day = _on(job.since.date(), now.date())
    match job.station:
        case Station.DIAGNOSIS:
            return f"being looked at since {day}" if job.begun else f"arrived {day}, not looked at"
        case Station.QUOTE:
            return f"fault found {day}, no quote sent"
        case Station.REPAIR:
            return "repair begun" if job.begun else f"agreed {day}, not begun"
        case Station.TEST if job.soak_ends is not None:
            over = job.soak_ends <= now
            return (
                f"soak over since {_since(job.soak_ends, now)}"
                if over
                else f"soak ends {_since(job.soak_ends, now)}"
            )
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
    return Waiting(job, _BY_CLOCK.get(clock, Waits.CUSTOMER), _why_waiting(job), days, start)


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
