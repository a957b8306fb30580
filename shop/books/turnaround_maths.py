"""How long orders take, with those still open counted as open; and an interval for any share. Pure.

Sources: product-limit estimate by Kaplan and Meier (1958) with Greenwood's variance and the log-log interval; limits of
a percentile by Brookmeyer and Crowley (1982); interval of a share by Wilson (1927).
"""

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt

DAY_SECONDS = 86_400
# The 97.5 % point of the normal distribution, for intervals of 95 %.
Z95 = 1.959963984540054
# Greenwood's sum is kept as a whole number of these: far finer than a float can show, and quick.
_FINE = 1 << 160


@dataclass(frozen=True, slots=True)
class Step:
    """One time at which an order ended. `at_risk` counts those still running just before, an order last seen at this
    very time among them. `left` of `of` is the share not ended after it, exact; `variance` is Greenwood's sum. The share
    as a fraction, its error and its 95 % log-log interval are worked out when asked for."""

    time: float
    at_risk: int
    ended: int
    left: int
    of: int
    variance: float

    @property
    def still_open(self) -> Fraction:
        """The share not ended after this time, exact."""
        return Fraction(self.left, self.of)

    @property
    def open_share(self) -> float:
        """The same, 0 to 1."""
        return self.left / self.of

    @property
    def se(self) -> float:
        """Greenwood's standard error of the share."""
        return self.open_share * math.sqrt(self.variance) if self.left else 0.0

    @property
    def low(self) -> float:
        return self._limits()[0]

    @property
    def high(self) -> float:
        return self._limits()[1]

    def _limits(self) -> tuple[float, float]:
        if not self.left:
            return 0.0, 0.0
        share = self.open_share
        spread = Z95 * math.sqrt(self.variance) / math.log(share)
        low, high = share ** math.exp(-spread), share ** math.exp(spread)
        return min(low, high), max(low, high)

    def log_limits(self) -> tuple[float, float]:
        """The 95 % interval on the log scale, cut at 1; not shown, kept for comparing with tables that print it."""
        if not self.left:
            return 0.0, 0.0
        spread = Z95 * math.sqrt(self.variance)
        return self.open_share * math.exp(-spread), min(1.0, self.open_share * math.exp(spread))


@dataclass(frozen=True)
class Curve:
    """The share of orders not yet ended, by time. `orders` counts all, `running` those that had not ended."""

    steps: tuple[Step, ...]
    orders: int
    running: int

    @property
    def median(self) -> float | None:
        """The time by which half have ended; None: not reached."""
        return self.percentile(Fraction(1, 2))

    def percentile(self, share: Fraction) -> float | None:
        """The first time by which at least `share` (0 to 1) have ended; None: not reached."""
        _in_range(share)
        left = 1 - share
        up, down = left.numerator, left.denominator
        return next((step.time for step in self.steps if step.left * down <= up * step.of), None)

    def percentile_interval(self, share: Fraction) -> tuple[float | None, float | None]:
        """The times at which the lower and the upper limit pass that share (Brookmeyer and Crowley); None: not reached."""
        _in_range(share)
        left = float(1 - share)
        return (
            next((step.time for step in self.steps if step.low <= left), None),
            next((step.time for step in self.steps if step.high <= left), None),
        )

    def ended_by(self, time: float) -> Fraction:
        """The share ended at or before `time`, 0 to 1."""
        step = self.at(time)
        return 1 - step.still_open if step else Fraction(0)

    def at(self, time: float) -> Step | None:
        """The last step at or before `time`; None where none had ended by then."""
        found = bisect_right(self.steps, time, key=lambda step: step.time)
        return self.steps[found - 1] if found else None

    def restricted_mean(self, until: float) -> float:
        """Mean time spent up to `until`: the area under the curve, in the unit of the times."""
        area, share, since = 0.0, 1.0, 0.0
        for step in self.steps:
            if step.time > until:
                break
            area += share * (step.time - since)
            share, since = step.open_share, step.time
        return area + share * (until - since)


def kaplan_meier(stays: Iterable[tuple[float, bool]]) -> Curve:
    """The curve of stays given as (time, ended), times in any one unit, not below nought.

    An order still running is given with the time it has run so far and False. Raises ValueError for a time below nought.
    """
    counts: dict[float, list[int]] = defaultdict(lambda: [0, 0])
    for time, ended in stays:
        counts[time][not ended] += 1
    return _curve([(time, ended, running) for time, (ended, running) in sorted(counts.items())])


def curve_of(counts: Mapping[int, tuple[int, int]]) -> Curve:
    """The same curve from how many ended and how many were last seen running at each whole unit of time.

    Raises ValueError for a time or a count below nought.
    """
    if any(min(pair) < 0 for pair in counts.values()):
        raise ValueError("a count cannot be below nought")
    return _curve([(time, *counts[time]) for time in sorted(counts)])


def curve_of_days(days: npt.NDArray[np.int64], ended: npt.NDArray[np.bool_]) -> Curve:
    """The same curve from a row of whole days (or hundredths, or any whole unit) and a row that says which have ended.

    Counts a million stays in some milliseconds. Raises ValueError for a stay below nought or rows of unequal length.
    """
    if days.shape != ended.shape:
        raise ValueError("as many days as ends are needed")
    if not days.size:
        return Curve((), 0, 0)
    if days.min() < 0:
        raise ValueError("a stay cannot be shorter than nought")
    every = np.bincount(days)
    gone = np.bincount(days[ended], minlength=every.size)
    found = np.flatnonzero(every)
    rows = zip(found.tolist(), gone[found].tolist(), (every - gone)[found].tolist(), strict=True)
    return _curve(list(rows))


def curve_of_stays(stays: Iterable[tuple[int, bool]], unit: int = DAY_SECONDS) -> Curve:
    """The curve of stays in seconds, its times in whole `unit`s, so that what it says is true of each order.

    One that ended counts up to the next whole unit ("gone by day 3"), one still here down to the last full one ("here for
    two full days").
    """
    pairs = list(stays)
    if not pairs:
        return Curve((), 0, 0)
    seconds = np.fromiter((stay for stay, _ in pairs), np.int64, len(pairs))
    ended = np.fromiter((end for _, end in pairs), np.bool_, len(pairs))
    return curve_of_days(np.where(ended, -(-seconds // unit), seconds // unit), ended)


def wilson(k: int, n: int, z: float = Z95) -> tuple[float, float]:
    """Limits (0 to 1) of the share behind `k` of `n`; nothing seen (n = 0) leaves everything possible: (0, 1).

    Raises ValueError unless 0 <= k <= n.
    """
    if not 0 <= k <= n:
        raise ValueError(f"{k} of {n} is no share")
    if n == 0:
        return 0.0, 1.0
    share, square = k / n, z * z
    centre = (share + square / (2 * n)) / (1 + square / n)
    half = z / (1 + square / n) * math.sqrt(share * (1 - share) / n + square / (4 * n * n))
    # The formula gives 1e-17 or -0.0 where the limit is nought itself.
    low = 0.0 if k == 0 else max(0.0, centre - half)
    high = 1.0 if k == n else min(1.0, centre + half)
    return low, high


def _in_range(share: Fraction) -> None:
    if not 0 < share < 1:
        raise ValueError("a percentile lies between 0 and 1")


def _curve(counts: list[tuple[float, int, int]]) -> Curve:
    """Of (time, ended, running) in the order of time.

    The share is kept as a pair of whole numbers, exact. While nobody is lost from sight the factors cancel: the share is
    `part * rest / (of * first)` with `rest` still running of the `first` there were at the last loss.
    """
    if counts and not counts[0][0] >= 0:
        raise ValueError("a stay cannot be shorter than nought")
    orders = at_risk = sum(ended + running for _, ended, running in counts)
    steps: list[Step] = []
    part, of, first, fine = 1, 1, at_risk, 0
    for time, ended, running in counts:
        rest = at_risk - ended
        if ended:
            fine += ended * _FINE // (at_risk * rest) if rest else 0
            steps.append(Step(time, at_risk, ended, part * rest, of * first, fine / _FINE))
        at_risk = rest - running
        if running and at_risk:
            part, of, first = part * rest, of * first, at_risk
    return Curve(tuple(steps), orders, sum(running for _, _, running in counts))
