"""Whether two groups of orders take equally long: the log-rank test. Pure.

Source: Mantel (1966) as any textbook of survival gives it: at each time on which an order of either group ended, those expected
to end in the first group are compared with those that did, with the hypergeometric variance. Stays of both groups count as open
where they are.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from shop.books.turnaround_maths import kaplan_meier


@dataclass(frozen=True)
class LogRank:
    """`chi2` with one degree of freedom; `p`: how often as large a gap would come by chance, 0 to 1. `ended` and `expected`
    are of the first group."""

    chi2: float
    p: float
    ended: int
    expected: float


def log_rank(first: Iterable[tuple[float, bool]], second: Iterable[tuple[float, bool]]) -> LogRank | None:
    """Of two groups of stays as (time, ended); None where no ending could tell them apart."""
    one, other = list(first), list(second)
    if not one or not other:
        return None
    mine = {step.time: step for step in kaplan_meier(one).steps}
    waits = sorted(time for time, _ in one)
    expected = variance = 0.0
    gone = 0
    for step in kaplan_meier([*one, *other]).steps:
        while gone < len(waits) and waits[gone] < step.time:
            gone += 1
        here, share = len(waits) - gone, (len(waits) - gone) / step.at_risk
        expected += step.ended * share
        if step.at_risk > 1:
            still = (step.at_risk - step.ended) / (step.at_risk - 1)
            variance += step.ended * share * (step.at_risk - here) / step.at_risk * still
    ended = sum(step.ended for step in mine.values())
    if variance <= 0:
        return None
    chi2 = (ended - expected) ** 2 / variance
    return LogRank(chi2, math.erfc(math.sqrt(chi2 / 2)), ended, expected)
