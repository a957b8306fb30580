"""Whether a row of weeks is still the same shop: the individuals chart with its moving range. Pure.

Source: Shewhart's chart for single values as the NIST/SEMATECH e-Handbook of Statistical Methods gives it, 6.3.2.2. Limits
are the mean and 3 / d2 mean moving ranges on each side, d2 = 2 / sqrt(pi). Rules for signals: one point outside the limits
(Shewhart); eight in a row on one side of the centre (Western Electric, as in the e-Handbook 6.3.2); six rising or falling in
a row (Nelson, from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

D2 = 2 / math.sqrt(math.pi)
# 3 / d2, and 1 + 3 d3 / d2 for ranges of two: published as 2.66 and 3.267.
WIDE = 3 / D2
D4 = 1 + 3 * math.sqrt(2 - 4 / math.pi) / D2
FEWEST = 8
RUN = 8
TREND = 6


class Rule(StrEnum):
    OUTSIDE = "outside the limits"
    RUN = "eight in a row on one side"
    TREND = "six in a row rising or falling"


@dataclass(frozen=True)
class Signal:
    """What a rule found: points from `first` to `last` (places in the row, both included), above or rising (`up`) or not."""

    rule: Rule
    first: int
    last: int
    up: bool


@dataclass(frozen=True)
class Chart:
    """`values` as given, None for a week with no order. `centre`, `low`, `high` in their unit; `mean_range` and
    `range_high` for the moving ranges (`ranges`, one fewer than points, None beside a gap)."""

    values: tuple[float | None, ...]
    ranges: tuple[float | None, ...]
    centre: float
    low: float
    high: float
    mean_range: float
    range_high: float
    signals: tuple[Signal, ...]


def individuals(values: Sequence[float | None], *, lowest: float | None = None) -> Chart | None:
    """The chart of values in the order of time; None with fewer than eight of them: too few to say anything.

    A gap is no value: no range reaches over it, and it breaks a run. `lowest`: a limit that nothing can pass, such as 0 for
    days; the lower limit is cut there.
    """
    known = [value for value in values if value is not None]
    ranges = tuple(
        None if one is None or other is None else abs(other - one)
        for one, other in zip(values, values[1:], strict=False)
    )
    spread = [each for each in ranges if each is not None]
    if len(known) < FEWEST or not spread:
        return None
    centre, mean_range = math.fsum(known) / len(known), math.fsum(spread) / len(spread)
    low, high = centre - WIDE * mean_range, centre + WIDE * mean_range
    if lowest is not None:
        low = max(low, lowest)
    found = (*_outside(values, low, high), *_runs(values, centre), *_trends(values))
    signals = tuple(sorted(found, key=lambda signal: (signal.first, signal.last, signal.rule)))
    return Chart(tuple(values), ranges, centre, low, high, mean_range, D4 * mean_range, signals)


def _outside(values: Sequence[float | None], low: float, high: float) -> list[Signal]:
    return [
        Signal(Rule.OUTSIDE, place, place, value > high)
        for place, value in enumerate(values)
        if value is not None and not low <= value <= high
    ]


def _runs(values: Sequence[float | None], centre: float) -> list[Signal]:
    sides = [None if value is None or value == centre else value > centre for value in values]
    return [
        Signal(Rule.RUN, first, last, up) for first, last, up in _stretches(sides) if last - first + 1 >= RUN
    ]


def _trends(values: Sequence[float | None]) -> list[Signal]:
    """Six rising points are five steps up."""
    steps = [
        None if one is None or other is None or one == other else other > one
        for one, other in zip(values, values[1:], strict=False)
    ]
    return [
        Signal(Rule.TREND, first, last + 1, up)
        for first, last, up in _stretches(steps)
        if last - first + 2 >= TREND
    ]


def _stretches(sides: Sequence[bool | None]) -> list[tuple[int, int, bool]]:
    """(first, last, side) of each stretch of equal sides; None belongs to none."""
    found: list[tuple[int, int, bool]] = []
    for place, side in enumerate(sides):
        if side is None:
            continue
        if found and found[-1][1] == place - 1 and found[-1][2] is side:
            found[-1] = (found[-1][0], place, side)
        else:
            found.append((place, place, side))
    return found
