"""What the lines do not hold and the margin needs, in plain values. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field

KINDS = {"look": "Looking", "repair": "Repairing", "test": "Testing", "talk": "Talking and paper"}


@dataclass(frozen=True)
class Month:
    """Orders that left in one month. `first` is the ordinal of its first day; money in smallest units."""

    first: int
    orders: int = 0
    billed: int = 0
    cash: int = 0
    full: int = 0
    minutes: int = 0


@dataclass(frozen=True)
class Extra:
    """`worked`: minutes whose work began in the window, by (kind, pk of who). `lost`, `disputed`: orders with a slip that
    says lost in the post, or in dispute. `words`: what was written beside the losses of an order. `stock_short`: what counts
    found missing in the window at its cost, less what they found too many; smallest units, never below nought. `months`:
    margin by month, the oldest first."""

    worked: Mapping[tuple[str, int], int] = field(default_factory=dict)
    lost: frozenset[int] = frozenset()
    disputed: frozenset[int] = frozenset()
    words: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    stock_short: int = 0
    months: tuple[Month, ...] = ()

    @property
    def minutes(self) -> int:
        """All minutes of the window."""
        return sum(self.worked.values())

    @property
    def since_the_first(self) -> tuple[Month, ...]:
        """The months from the first one that an order left in."""
        first = next((number for number, month in enumerate(self.months) if month.orders), len(self.months))
        return self.months[first:]
