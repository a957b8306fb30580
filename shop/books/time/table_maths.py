"""The tables of time. Pure: lines and plain values in, tables out."""

import datetime as dt
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from intake.stations import NAMES, Station
from shop.books.figures import Cell, Column, Table
from shop.books.lines import DAY_SECONDS, STATIONS_TIMED, Books, Line
from shop.books.periods import midnight
from shop.books.time import clock_maths
from shop.books.time.old_maths import old_now
from shop.books.time.shapes import Extra, Measured
from shop.books.time.stay_maths import at_station, by_day, measured, turnaround
from shop.books.time.week_maths import marked, output, slowness

STILL = "Orders still here count as still here."
LIMITS = (
    "Limits: 95 %, Brookmeyer and Crowley; empty where they are not reached. Few orders: read it with care."
)


def tables_of(books: Books, extra: Extra) -> list[Table]:
    """Every table of the page of time."""
    came = books.came()
    return [
        _curve(books, came),
        _stations(books, came),
        _clocks(came),
        _groups(books, came, "time-family", "By family", "family", "Family", "text", lambda line: line.family),
        _groups(books, came, "time-fault", "By fault found", "fault", "Fault", "text", lambda line: line.fault),
        _groups(
            books, came, "time-technician", "By technician", "technician", "Technician", "person",
            lambda line: line.technician,
        ),
        _months(books, came),
        _weeks(extra),
        old_table(books, extra),
    ]  # fmt: skip


def _curve(books: Books, came: list[Line]) -> Table:
    steps = by_day(came, now=books.now).steps
    return Table(
        "time-curve", "Gone by day",
        "A row for each day after arrival on which an order of the period left: whole days, so that 'gone by 3' means within "
        "three days. The band is Greenwood's with the log-log limits, 95 %. An order still here counts down to its last full day.",
        (
            Column("day", "Day", "orders"), Column("here", "Here just before", "orders"), Column("left", "Left that day", "orders"),
            Column("gone", "Gone by then", "share"), Column("low", "At least", "share"), Column("high", "At most", "share"),
        ),
        [
            (int(step.time), step.at_risk, step.ended, 1 - step.open_share, 1 - step.high, 1 - step.low)
            for step in steps
        ],
    )  # fmt: skip


def _stations(books: Books, came: list[Line]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for station in STATIONS_TIMED:
        stood = at_station(came, station)
        spent = measured((seconds, through) for _, seconds, through in stood)
        days = sum(seconds for _, seconds, _ in stood) / DAY_SECONDS
        rows.append((f"{station} {NAMES[Station(station)]}", *_measures(spent), days))
    return Table(
        "time-stations", "Time at each station",
        f"A row for each station with the orders of the period that stood there, visits added. {STILL} {LIMITS}",
        (Column("station", "Station", "text"), *MEASURES, Column("days", "Days, all orders", "days")), rows,
    )  # fmt: skip


def _clocks(came: list[Line]) -> Table:
    every = clock_maths.shares(came)
    longest = clock_maths.longest_waiting(came)
    rest = clock_maths.shares(clock_maths.without(came, longest))
    rows: list[tuple[Cell, ...]] = [
        (
            name, every.seconds[owner] / DAY_SECONDS, every.share(owner),
            rest.seconds[owner] / DAY_SECONDS, rest.share(owner) if longest else None,
        )
        for owner, name in clock_maths.OWNERS.items()
    ]  # fmt: skip
    return Table(
        "time-clocks", "Whose time it was",
        "A row for each who could have to act, with all days of the orders of the period; then without the one order that "
        "waited longest for its customer. At each moment the slip on the sheet says whose time it is, else the station.",
        (
            Column("whose", "Whose", "text"), Column("days", "Days", "days"), Column("share", "Of all time", "share"),
            Column("days_without", "Days without the longest", "days"),
            Column("share_without", "Of all time without it", "share"),
        ),
        rows, sums=("All", every.all / DAY_SECONDS, None, rest.all / DAY_SECONDS, None),
    )  # fmt: skip


MEASURES = (
    Column("orders", "Orders", "orders"), Column("here", "Still here", "orders"),
    Column("median", "Half by", "days"), Column("low", "At least", "days"), Column("high", "At most", "days"),
    Column("eighty", "Eight in ten by", "days"),
)  # fmt: skip


def _measures(found: Measured) -> tuple[Cell, ...]:
    return found.orders, found.running, found.median, found.low, found.high, found.eighty


def _groups(
    books: Books,
    came: Iterable[Line],
    key: str,
    name: str,
    column: str,
    head: str,
    kind: str,
    of: Callable[[Line], Cell],
) -> Table:
    groups: dict[Cell, list[Line]] = defaultdict(list)
    for line in came:
        groups[of(line)].append(line)
    ranked = sorted(groups.items(), key=lambda pair: (-len(pair[1]), str(pair[0])))
    rows = [(word, *_measures(turnaround(lines, now=books.now))) for word, lines in ranked]
    return Table(
        key, f"Turnaround {name[0].lower()}{name[1:]}",
        f"A row for each {head.lower()} with its orders of the period, the most first. {STILL} {LIMITS}",
        (Column(column, head, kind), *MEASURES), rows,
    )  # fmt: skip


def _months(books: Books, came: Sequence[Line]) -> Table:
    firsts = _firsts(books, came)
    starts = [midnight(first, books.house) for first in firsts]
    groups: list[list[Line]] = [[] for _ in firsts]
    for line in came:
        groups[bisect_right(starts, line.arrived) - 1].append(line)
    rows = [
        (f"{dt.date.fromordinal(first):%Y-%m}", *_measures(turnaround(lines, now=books.now)))
        for first, lines in zip(firsts, groups, strict=True)
        if lines
    ]
    return Table(
        "time-month", "Turnaround by month of arrival",
        f"A row for each month in which orders of the period arrived. {STILL} {LIMITS}",
        (Column("month", "Month", "text"), *MEASURES), rows,
    )  # fmt: skip


def _firsts(books: Books, came: Sequence[Line]) -> list[int]:
    """Ordinals of the first days of the months from the first arrival to the last."""
    if not came:
        return []
    arrived = [line.arrived for line in came]
    first, last = (
        dt.date.fromordinal(books.house.ordinal(moment)) for moment in (min(arrived), max(arrived))
    )
    found, month = [], first.replace(day=1)
    while month <= last:
        found.append(month.toordinal())
        month = (month + dt.timedelta(days=32)).replace(day=1)
    return found


def _weeks(extra: Extra) -> Table:
    slow, out = slowness(extra.weeks), output(extra.weeks)
    rows: list[tuple[Cell, ...]] = []
    for place, week in enumerate(extra.weeks):
        ranged = slow.ranges[place - 1] if slow and place else None
        rows.append(
            (
                week.monday,
                week.left,
                week.median,
                ranged,
                marked(slow, place) or "-",
                marked(out, place) or "-",
            )
        )
    return Table(
        "time-weeks", "Week by week",
        "A row for each of the last 52 whole weeks, whatever the period: orders that left, their middle turnaround in days, "
        "its step from the week before, and which rules of the chart the week breaks (one outside the limits; eight in a row on "
        "one side; six in a row rising or falling). Orders still here are left out; the curve counts them.",
        (
            Column("week", "Week from", "day"), Column("left", "Orders that left", "orders"), Column("median", "Half by", "days"),
            Column("step", "Step", "days"), Column("slow", "Days: rule broken", "text"), Column("output", "Orders: rule broken", "text"),
        ),
        rows,
    )  # fmt: skip


def old_table(books: Books, extra: Extra) -> Table:
    """Every order still here, the longest first."""
    rows = [
        (old.order, old.days, old.over, old.station, old.clock, old.why)
        for old in old_now(books, extra.slips, usual=extra.usual.usual)
    ]
    return Table(
        "time-old", "Old now, and why",
        "Every order still here, the longest first, whatever the period. Beyond usual: days over those by which "
        f"{extra.usual.usual_words} of the last 52 weeks were gone; empty where it is not beyond them.",
        (
            Column("order", "Order", "order"), Column("days", "Days here", "days"), Column("over", "Beyond usual", "days"),
            Column("station", "Station", "text"), Column("whose", "Whose time", "text"), Column("why", "Why", "text"),
        ),
        rows,
    )  # fmt: skip
