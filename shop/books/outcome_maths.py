"""Shares of the trade: quotes agreed, promises kept, work that failed, money owed by age. Pure."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from intake.money import quantize
from shop.books.sheet_facts import OrderFacts
from shop.books.turnaround_maths import wilson

# Below this many orders a rate is shown pale: common practice, no source.
FEW = 10
# By the cause that was written down; one that is not ours is billed as ever.
CAME_BACK = {
    "same": "came back with the same fault: nothing billed",
    "work": "came back: our own work, nothing billed",
    "lot": "came back with a part of a bad lot: nothing billed",
    "new": "came back with a new fault",
    "damage": "came back with new damage",
}


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


@dataclass(frozen=True)
class Groups:
    """Orders by what became of them; a key is the figure's name in an address."""

    orders: dict[str, tuple[int, ...]]

    def count(self, key: str) -> int:
        return len(self.orders.get(key, ()))


def grouped(pairs: Iterable[tuple[str, int]]) -> Groups:
    """(key, order) pairs as groups; an empty key is left out."""
    found: dict[str, list[int]] = {}
    for key, pk in pairs:
        if key:
            found.setdefault(key, []).append(pk)
    return Groups({key: tuple(pks) for key, pks in found.items()})


def promise_word(promise: dt.date | None, left: dt.date | None, today: dt.date) -> str:
    """'kept', 'missed', or '' where there is no promise or its day is still to come.

    A promise is due when its day is over, or when the device left before. Still here on the day itself is not missed.
    """
    if promise is None:
        return ""
    if left is not None:
        return "kept" if left <= promise else "missed"
    return "missed" if promise < today else ""


def failed_burden(orders: Iterable[OrderFacts], *, cost_per_minute: Decimal, currency: str) -> Decimal:
    """Bench cost of what nobody pays: not mended, answered no, recycled, lapsed or still waiting for its answer.

    Comebacks stand apart: their minutes belong to the work that failed before.
    """
    minutes = sum(order.minutes.all for order in orders if is_unpaid_work(order))
    return quantize(minutes * cost_per_minute, currency)


def is_unpaid_work(order: OrderFacts) -> bool:
    """Whether nobody pays its minutes: neither mended nor under warranty, and gone or without a yes."""
    if order.comeback or order.mended:
        return False
    return order.left is not None or order.answer in ("lapsed", "waiting", "declined")


def age_of(due: dt.date, today: dt.date) -> str:
    """'due later', '1-30', '31-60' or 'over 60', by days past the due day."""
    over = (today - due).days
    if over <= 0:
        return "due later"
    return "1-30" if over <= 30 else "31-60" if over <= 60 else "over 60"


def why_lost(order: OrderFacts) -> str:
    """The plainest reason why an order cost more than it brought."""
    if order.cost_words:
        return "; ".join(order.cost_words)
    if order.outcome == "own damage":
        return "our own damage: nothing billed"
    if order.comeback:
        return CAME_BACK.get(order.cause, "came back: our own work, nothing billed")
    if order.outcome == "no fix":
        return "not mended: looking and trying are unpaid"
    if order.answer == "declined" or order.outcome in ("declined", "recycled"):
        return "answered no: the looking is unpaid"
    if order.answer == "lapsed":
        return "no answer to the quote: the looking is unpaid"
    return "parts and minutes above the price"
