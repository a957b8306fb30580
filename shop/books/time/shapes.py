"""What the lines do not hold and the pages of time need, in plain values. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from shop.books.hours_maths import Calendar


@dataclass(frozen=True)
class Measured:
    """How long some orders took, in days. `low`, `high` and the like: 95 % limits (Brookmeyer and Crowley), None: not
    reached. `orders` counts all of them, `running` those not through yet."""

    orders: int = 0
    running: int = 0
    median: float | None = None
    low: float | None = None
    high: float | None = None
    eighty: float | None = None
    eighty_low: float | None = None
    eighty_high: float | None = None

    @property
    def usual(self) -> float | None:
        """Days an order usually takes: by which eight in ten were gone; half of them, until eight in ten are reached."""
        return self.median if self.eighty is None else self.eighty

    @property
    def usual_words(self) -> str:
        """The share that goes with `usual`."""
        return "half" if self.eighty is None else "eight in ten"


@dataclass(frozen=True)
class Week:
    """Orders that left in one week. `monday` is an ordinal; `median` their days from arrival, None where none left."""

    monday: int
    left: int
    median: float | None


@dataclass(frozen=True)
class Extra:
    """`calendar`: the shop's own hours over all lines; None: not asked for. `guessed`: they were never saved. `weeks`: the
    last 52 whole weeks, the oldest first, from the first in which an order left. `usual`: orders that arrived in the last
    52 weeks. `slips`: reasons on the sheets of orders still here."""

    calendar: Calendar | None = None
    guessed: bool = True
    weeks: tuple[Week, ...] = ()
    usual: Measured = Measured()
    slips: Mapping[int, tuple[str, ...]] = field(default_factory=dict)


NOTHING = Extra()
