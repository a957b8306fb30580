"""What a replay rests on and what it says, in plain values. Pure: money in smallest units, minutes whole, spans in seconds."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from shop.books.lines import Line

# A line's net sum, and its tax in thousandths of a percent.
Priced = tuple[int, int]
Part = int | Fraction


class Answer(NamedTuple):
    """One quote that was agreed to: its total with tax, how long its answer took, and whether a standing limit gave it."""

    total: int
    seconds: int
    by_limit: bool


class More(NamedTuple):
    """What the line of an order does not hold. `labour`, `post`: the lines of its bills, credit notes among them. `gross`: its
    bills with tax. `asked`: the total of the quote agreed to last, with tax, and `asked_labour` its lines of labour. `lost`:
    what a parcel lost on the way home cost. `limit`: the customer's own standing limit, -1 for none. `posted`: it went by post."""

    labour: tuple[Priced, ...] = ()
    post: tuple[Priced, ...] = ()
    gross: int = 0
    asked: int = 0
    asked_labour: tuple[Priced, ...] = ()
    answers: tuple[Answer, ...] = ()
    limit: int = -1
    posted: bool = False
    lost: int = 0


NO_MORE = More()


@dataclass(frozen=True)
class Rules:
    """What is changed; None leaves a thing as it was.

    `labour`: factor on the price of labour, of the one `remedy` where that is named. `floor`: the smallest price of the labour
    of an order that is charged at all. `fewer`: of 100 customers, so many fewer say yes for each 10 % more. `limit`: every
    customer had set at least this standing limit. `cover_above`: cover is bought for what a parcel is worth above this sum,
    at `cover_percent` of that part and `cover_fixed` a parcel. `stop_after`: looking ends after so many minutes, as no fix.
    """

    labour: Fraction | None = None
    remedy: str = ""
    floor: int | None = None
    fewer: Fraction = Fraction(0)
    limit: int | None = None
    cover_above: int | None = None
    cover_percent: Fraction = Fraction(0)
    cover_fixed: int = 0
    stop_after: int | None = None

    @property
    def prices(self) -> bool:
        """Whether it changes a price."""
        return self.labour is not None or self.floor is not None

    @property
    def changes(self) -> bool:
        """Whether it changes anything at all."""
        return self.prices or not (
            self.limit is None and self.cover_above is None and self.stop_after is None
        )


AS_IT_WAS = Rules()


class Run(NamedTuple):
    """One order as a set of rules leaves it. `yes`: the share of it that is still agreed to, 1 where nobody is asked anew.
    `look`, `repair`, `test`, `talk`: seconds, because a share of a minute is one too. `cover`: what cover cost. `waited`:
    seconds until its quotes were answered. `at_once`: 1 where a standing limit started it."""

    order: int
    billed: int
    parts: int
    spoiled: int
    post: int
    fees: int
    losses: int
    cover: int
    look: int
    repair: int
    test: int
    talk: int
    bench: int
    waited: int
    at_once: int
    yes: Part = 1
    stopped: bool = False

    @property
    def spent(self) -> int:
        """Every second at the bench, paid for or not."""
        return self.look + self.repair + self.test + self.talk

    @property
    def cash(self) -> int:
        """Billed without tax, less parts, spoiled parts, post, fees, losses and cover."""
        return self.billed - self.parts - self.spoiled - self.post - self.fees - self.losses - self.cover

    @property
    def full(self) -> int:
        """Cash margin less what the minutes cost."""
        return self.cash - self.bench


class Both(NamedTuple):
    """One order, as it was and as it would have been."""

    line: Line
    was: Run
    would: Run

    @property
    def difference(self) -> int:
        """Of the full margin."""
        return self.would.full - self.was.full


@dataclass(frozen=True)
class Sums:
    """Every order added up. `spent`: seconds at the bench. `mended`: orders mended, as expected, in millionths of an order."""

    orders: int
    billed: int
    parts: int
    spoiled: int
    post: int
    fees: int
    losses: int
    cover: int
    cash: int
    spent: int
    bench: int
    full: int
    waited: int
    at_once: int
    mended: int

    @property
    def hour(self) -> Fraction | None:
        """Cash margin of one hour over every minute, in smallest units; None without a minute."""
        return Fraction(self.cash * 3_600, self.spent) if self.spent else None


@dataclass(frozen=True)
class StopSide:
    """One side of a stop rule: how many orders it ends, and what that does to their full margin."""

    orders: tuple[int, ...]
    difference: int


@dataclass(frozen=True)
class Stop:
    """What stopping after `minutes` does to orders that were not mended, and to those that were."""

    minutes: int
    unmended: StopSide
    mended: StopSide

    @property
    def difference(self) -> int:
        """Both sides together."""
        return self.unmended.difference + self.mended.difference


@dataclass(frozen=True)
class Replayed:
    """A year run again: order by order and in sum. `asked_again`: orders their own limit had started, now above it."""

    rules: Rules
    orders: tuple[Both, ...]
    was: Sums
    would: Sums
    asked_again: tuple[int, ...]

    def most_changed(self, count: int) -> list[Both]:
        """Those whose full margin changes most, the worst and the best alike; none that does not change."""
        moved = [both for both in self.orders if both.difference]
        return sorted(moved, key=lambda both: (-abs(both.difference), both.line.order))[:count]


@dataclass(frozen=True)
class Extra:
    """`more`: by order. `card`: what a card payment costs now, in thousandths of a percent. `rules`: what is changed."""

    more: Mapping[int, More] = field(default_factory=dict)
    card: int = 0
    rules: Rules = AS_IT_WAS
