"""How far two who name things agree beyond luck. Pure.

Sources: kappa by Cohen (1960); its error in large samples by Fleiss, Cohen and Everitt (1969).
"""

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Agreement:
    """Of `n` pairs the share `agreed` is alike, and `by_luck` would be were the two to name things apart from each other.

    `kappa` 1: always alike, 0: no better than luck; None: nothing to tell, since both always named the same one thing.
    `error`: its standard error.
    """

    n: int
    agreed: float
    by_luck: float
    kappa: float | None
    error: float | None

    def limits(self, z: float) -> tuple[float, float] | None:
        """Kappa less and more `z` errors, within -1 to 1; None where there is none."""
        if self.kappa is None or self.error is None:
            return None
        return max(-1.0, self.kappa - z * self.error), min(1.0, self.kappa + z * self.error)


def agreement(pairs: Iterable[tuple[str, str]]) -> Agreement:
    """Agreement of (said, found) pairs."""
    cells = Counter(pairs)
    n = sum(cells.values())
    if not n:
        return Agreement(0, 0.0, 0.0, None, None)
    said: Counter[str] = Counter()
    found: Counter[str] = Counter()
    for (one, other), count in cells.items():
        said[one] += count
        found[other] += count
    alike = sum(count for (one, other), count in cells.items() if one == other)
    luck = sum(said[name] * found[name] for name in said)
    agreed, by_luck = alike / n, luck / (n * n)
    if luck == n * n:
        return Agreement(n, agreed, by_luck, None, None)
    kappa = (alike * n - luck) / (n * n - luck)
    return Agreement(n, agreed, by_luck, kappa, _error(cells, said, found, n, kappa, by_luck))


def _error(
    cells: Mapping[tuple[str, str], int],
    said: Mapping[str, int],
    found: Mapping[str, int],
    n: int,
    kappa: float,
    by_luck: float,
) -> float:
    missing = 1 - kappa
    terms = []
    for (one, other), count in cells.items():
        if one == other:
            terms.append(count / n * (1 - (said[one] + found[one]) / n * missing) ** 2)
        else:
            both = (found.get(one, 0) + said.get(other, 0)) / n
            terms.append(missing**2 * count / n * both**2)
    square = math.fsum(terms) - (kappa - by_luck * missing) ** 2
    return math.sqrt(max(0.0, square) / n) / (1 - by_luck)
