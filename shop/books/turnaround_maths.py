"""How long orders take, with those still open counted as open; and an interval for any share.

Sources: product-limit estimate by Kaplan and Meier (1958) with Greenwood's variance and the log-log interval;
interval of a share by Wilson (1927).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

# The 97.5 % point of the normal distribution, for intervals of 95 %.
Z95 = 1.959963984540054


@dataclass(frozen=True)
class Step:
    """One time at which an order ended. `at_risk` counts those still running just before, an order last seen at this
    very time among them. `still_open` is the share not ended after it, `se` its Greenwood error, low and high the 95 %
    log-log interval."""

    time: float
    at_risk: int
    ended: int
    still_open: Fraction
    se: float
    low: float
    high: float


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
        return next((step.time for step in self.steps if step.still_open <= 1 - share), None)

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
        passed = [step.still_open for step in self.steps if step.time <= time]
        return 1 - passed[-1] if passed else Fraction(0)

    def restricted_mean(self, until: float) -> float:
        """Mean time spent up to `until`: the area under the curve, in the unit of the times."""
        area, share, since = 0.0, 1.0, 0.0
        for step in self.steps:
            if step.time > until:
                break
            area += share * (step.time - since)
            share, since = float(step.still_open), step.time
        return area + share * (until - since)


def kaplan_meier(stays: Iterable[tuple[float, bool]]) -> Curve:
    """The curve of stays given as (time, ended), times in any one unit, not below nought.

    An order still running is given with the time it has run so far and False. Raises ValueError for a time below nought.
    """
    known = sorted((time, ended) for time, ended in stays)
    if known and not known[0][0] >= 0:
        raise ValueError("a stay cannot be shorter than nought")
    steps: list[Step] = []
    share, variance, at_risk = Fraction(1), Fraction(0), len(known)
    for time in sorted({time for time, _ in known}):
        here = [ended for when, ended in known if when == time]
        ended = sum(here)
        if ended:
            share *= 1 - Fraction(ended, at_risk)
            if at_risk > ended:
                variance += Fraction(ended, at_risk * (at_risk - ended))
            steps.append(_step(time, at_risk, ended, share, variance))
        at_risk -= len(here)
    return Curve(tuple(steps), len(known), sum(not ended for _, ended in known))


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


def _step(time: float, at_risk: int, ended: int, share: Fraction, variance: Fraction) -> Step:
    if share == 0:
        return Step(time, at_risk, ended, share, 0.0, 0.0, 0.0)
    plain = float(share)
    spread = Z95 * math.sqrt(variance) / math.log(plain)
    low, high = plain ** math.exp(-spread), plain ** math.exp(spread)
    return Step(time, at_risk, ended, share, plain * math.sqrt(variance), min(low, high), max(low, high))
