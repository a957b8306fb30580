"""How often something rare happens: an exact interval for a count over time, and whether one group has too many. Pure.

Sources: limits of a Poisson count by Garwood (1936); exact test of a table of two by two by Fisher (1922), two-sided by adding up
every table no likelier than the one seen.
"""

import math
from collections.abc import Callable

# Tables as likely as the one seen count with it, though their floats differ in the last places.
AS_LIKELY = 1 + 1e-7
HALVINGS = 80


def poisson_limits(count: int, *, level: float = 0.95) -> tuple[float, float]:
    """Exact limits of the mean behind a count of rare events. Raises ValueError below nought, or for a level out of 0 to 1."""
    if count < 0 or not 0 < level < 1:
        raise ValueError("a count is not below nought, and a level lies between 0 and 1")
    tail = (1 - level) / 2
    low = 0.0 if count == 0 else _solved(lambda mean: _at_least(count, mean) < tail, 0.0, float(count))
    top = count + 10 * math.sqrt(count + 1) + 40
    return low, _solved(lambda mean: _at_most(count, mean) > tail, float(count), top)


def _solved(below: Callable[[float], bool], low: float, high: float) -> float:
    """Where `below` turns from true to false, by halving."""
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if below(middle) else (low, middle)
    return (low + high) / 2


def _chance(count: int, mean: float) -> float:
    return math.exp(count * math.log(mean) - mean - math.lgamma(count + 1)) if mean > 0 else float(count == 0)


def _at_most(count: int, mean: float) -> float:
    """Chance of `count` or fewer, for a mean not below it: terms fall from the last one down."""
    term = total = _chance(count, mean)
    for number in range(count, 0, -1):
        term *= number / mean
        total += term
        if term < total * 1e-17:
            break
    return total


def _at_least(count: int, mean: float) -> float:
    """Chance of `count` or more, for a mean not above it: terms fall from the first one up."""
    term = total = _chance(count, mean)
    number = count
    while term > total * 1e-17:
        number += 1
        term *= mean / number
        total += term
    return total


def fisher(one: int, of_one: int, other: int, of_other: int) -> float:
    """The chance, were both groups alike, of a table no likelier than this: `one` of `of_one` against `other` of `of_other`.

    1 where nothing can be told. Raises ValueError unless each count is within its group.
    """
    if not (0 <= one <= of_one and 0 <= other <= of_other):
        raise ValueError("more events than there are in the group")
    events, low = one + other, max(0, one + other - of_other)
    high = min(of_one, events)
    chances = [_logs(of_one, of_other, number, events) for number in range(low, high + 1)]
    largest = max(chances)
    parts = [math.exp(chance - largest) for chance in chances]
    seen = parts[one - low] * AS_LIKELY
    return min(1.0, math.fsum(part for part in parts if part <= seen) / math.fsum(parts))


def _logs(of_one: int, of_other: int, number: int, events: int) -> float:
    return _ways(of_one, number) + _ways(of_other, events - number)


def _ways(n: int, k: int) -> float:
    return math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)


def held_together(chances: list[float]) -> list[float]:
    """The same chances when all of them were looked at at once, in the same order: Holm's (1979) step-down."""
    ranked = sorted(range(len(chances)), key=lambda place: chances[place])
    found, worst = [0.0] * len(chances), 0.0
    for rank, place in enumerate(ranked):
        worst = max(worst, min(1.0, (len(chances) - rank) * chances[place]))
        found[place] = worst
    return found
