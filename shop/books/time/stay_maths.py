"""How long orders stayed, as curves: whole, at a station, in the shop's own days; and how many were here on average. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from operator import attrgetter

import numpy as np
import numpy.typing as npt

from shop.books.hours_maths import Calendar
from shop.books.lines import DAY_SECONDS, Books, Line
from shop.books.time.shapes import Measured
from shop.books.turnaround_maths import Curve, curve_of, curve_of_days, curve_of_stays

HALF, EIGHT_IN_TEN = Fraction(1, 2), Fraction(4, 5)
# Percentiles are told in hundredths of a day, the curve is drawn by whole ones.
HUNDREDTH = DAY_SECONDS // 100


def measured(stays: Iterable[tuple[int, bool]]) -> Measured:
    """Of stays as (seconds, ended)."""
    return _of(curve_of_stays(stays, HUNDREDTH))


def measured_counts(counts: Mapping[int, tuple[int, int]]) -> Measured:
    """Of how many ended and how many were last seen here, by hundredths of a day as `measured` counts them."""
    return _of(curve_of(counts))


def turnaround(lines: Iterable[Line], *, now: int) -> Measured:
    """From arrival until an order left; one still here counts as open for the time it has been here."""
    return measured(line.stay(now) for line in lines)


def by_day(lines: Iterable[Line], *, now: int) -> Curve:
    """The same as a curve by whole days."""
    return curve_of_stays(line.stay(now) for line in lines)


def own_turnaround(lines: Sequence[Line], calendar: Calendar, *, now: int) -> Measured:
    """Turnaround in the shop's own days: open hours by the open hours of an open day."""
    day = int(calendar.week.day_seconds)
    if not lines or not day:
        return Measured(len(lines), sum(not line.left for line in lines))
    starts = np.array([line.arrived for line in lines], dtype=np.int64)
    ends = np.array([max(line.arrived, line.left or now) for line in lines], dtype=np.int64)
    ended = np.array([line.left > 0 for line in lines], dtype=np.bool_)
    hundred: npt.NDArray[np.int64] = calendar.seconds_of(starts, ends) * 100
    return _of(curve_of_days(np.where(ended, -(-hundred // day), hundred // day), ended))


def at_station(lines: Iterable[Line], station: int) -> list[tuple[Line, int, bool]]:
    """Orders that stood at a station, each with its seconds there, visits added, and whether it is through."""
    spent = attrgetter(f"at{station}")
    return [
        (line, seconds, line.left > 0 or line.station != station)
        for line in lines
        if (seconds := spent(line)) >= 0
    ]


def _of(curve: Curve) -> Measured:
    """A curve in hundredths of a day, told in days."""
    low, high = curve.percentile_interval(HALF)
    eighty_low, eighty_high = curve.percentile_interval(EIGHT_IN_TEN)
    times = (
        curve.median, low, high, curve.percentile(EIGHT_IN_TEN), eighty_low, eighty_high,
    )  # fmt: skip
    return Measured(curve.orders, curve.running, *(None if time is None else time / 100 for time in times))


@dataclass(frozen=True)
class Here:
    """`seconds` of all orders in the building within a stretch of `length` seconds, in which `came` arrived; `pks` of those
    that were here at any time of it."""

    seconds: int
    length: int
    came: int
    pks: tuple[int, ...]

    @property
    def average(self) -> float:
        """Orders in the building on average."""
        return self.seconds / self.length if self.length else 0.0

    @property
    def days_each(self) -> float | None:
        """Days in the building for each order that arrived; None where none did."""
        return self.seconds / self.came / DAY_SECONDS if self.came else None


def in_the_building(books: Books) -> Here:
    """Over the window, from the first arrival where that is later.

    Little (1961): the orders here on average are the arrivals a day times the days for each of them.
    """
    until = min(books.window.until, books.now)
    first = min((line.arrived for line in books.lines if line.arrived), default=until)
    since = max(books.window.since, first)
    seconds, pks, came = 0, [], 0
    for line in books.lines:
        inside = min(line.left or books.now, until) - max(line.arrived, since)
        if inside > 0:
            seconds += inside
            pks.append(line.order)
        came += since <= line.arrived < until
    return Here(seconds, max(0, until - since), came, tuple(pks))
