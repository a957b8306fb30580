"""A share of the trade with what it rests on: k of n, and how far from it the truth may lie. Pure."""

from dataclasses import dataclass

from shop.books.figures import FEW
from shop.books.turnaround_maths import wilson


@dataclass(frozen=True)
class Rate:
    """`k` of `n`, with the limits of a 95 % Wilson interval, 0 to 1."""

    k: int
    n: int

    @property
    def share(self) -> float | None:
        """None for nothing seen."""
        return self.k / self.n if self.n else None

    @property
    def few(self) -> bool:
        """Rests on too few orders to lean on."""
        return self.n < FEW

    @property
    def limits(self) -> tuple[float, float]:
        return wilson(self.k, self.n)
