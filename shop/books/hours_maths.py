"""When hands are at the bench, and how much of a stretch of time that is. Pure.

Time that passes while the shop is shut is nobody's delay, so turnaround and promise errors are also said in the shop's own
hours. Days are those of the shop's zone, so a day with a clock change is an hour shorter or longer outside, and within the
opening hours only where the change falls into them.
"""

import datetime as dt
import zoneinfo
from bisect import bisect_right
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

import numpy as np
import numpy.typing as npt

DAYS_A_WEEK = 7
Day = tuple[dt.time, dt.time] | None


@dataclass(frozen=True)
class Week:
    """Opening and closing by day of the week, Monday first; None: closed. Closing at or before opening is on the next day,
    so 22:00 to 06:00 is a night, and 00:00 to 00:00 the whole day. Raises ValueError for other than seven days."""

    days: tuple[Day, ...]

    def __post_init__(self) -> None:
        if len(self.days) != DAYS_A_WEEK:
            raise ValueError("a week has seven days")

    @property
    def open_days(self) -> int:
        return sum(day is not None for day in self.days)

    @property
    def open_seconds(self) -> int:
        """Of a week without holidays and clock changes."""
        return sum(_length(day) for day in self.days if day is not None)

    @property
    def day_seconds(self) -> float:
        """Length of an own day: the open hours of a week by its open days; 0 where it never opens."""
        return self.open_seconds / self.open_days if self.open_days else 0.0


USUAL = Week((*[(dt.time(9), dt.time(17))] * 5, None, None))


@dataclass(frozen=True)
class Calendar:
    """A week's hours laid over the days from `first` to `last` (ordinals, both included), less the closed ones.

    Times are whole seconds since 1970. A question outside those days raises ValueError, for the answer would be wrong.
    """

    week: Week
    closed: frozenset[dt.date]
    zone: zoneinfo.ZoneInfo
    first: int
    last: int

    @cached_property
    def spans(self) -> tuple[tuple[int, int], ...]:
        """Open stretches in the order of time; a night that runs into the next opening is cut there."""
        found: list[tuple[int, int]] = []
        for start, end in self._days():
            if found and found[-1][1] > start:
                found[-1] = (found[-1][0], start)
            found.append((start, end))
        return tuple(found)

    def seconds_between(self, start: int, end: int) -> int:
        """Open seconds from `start` to `end`; below nought where `end` lies before `start`."""
        return self._open_until(end) - self._open_until(start)

    def seconds_of(self, starts: npt.NDArray[np.int64], ends: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
        """`seconds_between` of many at once, for a page that adds up thousands of orders."""
        if not starts.size or not self.spans:
            return np.zeros(starts.shape, dtype=np.int64)
        low, high = min(starts.min(), ends.min()), max(starts.max(), ends.max())
        if not self._bounds[0] <= low <= high <= self._bounds[1]:
            raise ValueError("that time lies outside the calendar")
        opened = np.array(self.spans, dtype=np.int64)
        sums = np.array(self._sums, dtype=np.int64)

        def until(moments: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
            found = np.searchsorted(opened[:, 0], moments, side="right") - 1
            here = np.maximum(found, 0)
            inside = np.minimum(moments, opened[here, 1]) - opened[here, 0]
            return np.where(found < 0, 0, sums[here] + inside)

        return until(ends) - until(starts)

    def days_between(self, start: int, end: int) -> float | None:
        """The same in own days (`Week.day_seconds`); None where the shop never opens."""
        day = self.week.day_seconds
        return self.seconds_between(start, end) / day if day else None

    def is_open(self, moment: int) -> bool:
        """Whether hands are at the bench; the second of closing is closed."""
        found = self._span_before(moment)
        return found >= 0 and moment < self.spans[found][1]

    def next_open(self, moment: int) -> int | None:
        """`moment` itself where the shop is open, else when it opens next; None: not within these days."""
        if self.is_open(moment):
            return moment
        after = self._span_before(moment) + 1
        return self.spans[after][0] if after < len(self.spans) else None

    def open_on(self, day: dt.date) -> bool:
        """Whether the shop opens on a day."""
        return self.week.days[day.weekday()] is not None and day not in self.closed

    def _days(self) -> Iterator[tuple[int, int]]:
        for ordinal in range(self.first, self.last + 1):
            day = dt.date.fromordinal(ordinal)
            hours = self.week.days[day.weekday()]
            if hours is None or day in self.closed:
                continue
            until = day if hours[1] > hours[0] else day + dt.timedelta(days=1)
            start, end = _moment(day, hours[0], self.zone), _moment(until, hours[1], self.zone)
            # A clock change can swallow short hours whole.
            if start < end:
                yield start, end

    @cached_property
    def _starts(self) -> list[int]:
        return [start for start, _ in self.spans]

    @cached_property
    def _sums(self) -> list[int]:
        return [0, *accumulate(end - start for start, end in self.spans)]

    @cached_property
    def _bounds(self) -> tuple[int, int]:
        first, last = dt.date.fromordinal(self.first), dt.date.fromordinal(self.last + 1)
        return _moment(first, dt.time(), self.zone), _moment(last, dt.time(), self.zone)

    def _span_before(self, moment: int) -> int:
        if not self._bounds[0] <= moment <= self._bounds[1]:
            raise ValueError("that time lies outside the calendar")
        return bisect_right(self._starts, moment) - 1

    def _open_until(self, moment: int) -> int:
        found = self._span_before(moment)
        if found < 0:
            return 0
        start, end = self.spans[found]
        return self._sums[found] + min(moment, end) - start


def calendar_over(
    week: Week, closed: Collection[dt.date], zone: zoneinfo.ZoneInfo, *, since: int, until: int
) -> Calendar:
    """A calendar that answers from the day before `since` to the day after `until`, seconds since 1970."""
    first, last = (dt.datetime.fromtimestamp(moment, zone).toordinal() for moment in (since, until))
    return Calendar(week, frozenset(closed), zone, first - 1, last + 1)


def _length(day: tuple[dt.time, dt.time]) -> int:
    start, end = (moment.hour * 3600 + moment.minute * 60 for moment in day)
    return end - start if end > start else end - start + 86_400


def _moment(day: dt.date, time: dt.time, zone: zoneinfo.ZoneInfo) -> int:
    """A time that a clock change skips is taken as if the clock had not changed yet; of two alike the first counts."""
    return int(dt.datetime.combine(day, time, zone).timestamp())
