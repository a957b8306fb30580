"""What the lines do not hold of money owed, stock and waiting devices, in plain values. Pure.

Money is in smallest units, times are seconds since 1970 in UTC (0: never), days are ordinals in the shop's zone.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from shop.books.lines import House, Line

STORAGE_DAYS = 30
DEAD_DAYS = 180


class Bill(NamedTuple):
    """What is left of one bill, disputed money not counted in; `left` below nought, without a number: a credit."""

    order: int
    number: str
    due: int
    left: int


class Taxed(NamedTuple):
    """One tax group of a document. `rate`: category and percent, "S 8"; all below nought on a credit note."""

    order: int
    issued: int
    profile: str
    rate: str
    net: int
    tax: int


class PartRow(NamedTuple):
    """A part as it lies in its bin. `worth`: all of it at its moving average; `stopped`: pieces in stopped lots; `used`:
    pieces fitted in the last 180 days; `moved`: its last move."""

    number: str
    name: str
    bin: str
    on_hand: int
    reserved: int
    reorder_at: int
    stopped: int
    used: int
    moved: int
    worth: int

    def part_of(self, pieces: int) -> int:
        """What some of the pieces are worth, rounded half up."""
        return (2 * self.worth * pieces + self.on_hand) // (2 * self.on_hand) if self.on_hand else 0


class Counted(NamedTuple):
    """A difference found when the stock was counted: pieces missing (below nought) or found, and their cost."""

    number: str
    at: int
    change: int
    cost: int
    why: str


class Waiting(NamedTuple):
    """A device that waits for its customer since `since`. `pay_first`: only if its bill is not paid. `letters`: when letters
    went to them since."""

    order: int
    since: int
    pay_first: bool
    letters: tuple[int, ...]


class Disputed(NamedTuple):
    """A payment that was disputed. `end`: 'won', 'lost', or '' while it is held; `answer_by`: ordinal, 0 for no day."""

    order: int
    paid: int
    amount: int
    end: str
    answer_by: int


class TradeBill(NamedTuple):
    """A bill of a trade customer, and the last payment on its order."""

    order: int
    customer: int
    issued: int
    paid: int


class DepositAsked(NamedTuple):
    """A deposit agreed to and not all in."""

    order: int
    missing: int


@dataclass(frozen=True)
class Extra:
    """`since`: rows that belong to a window reach back to here. `uneven`: lines of orders with money open that left before
    the lines of the books begin. `held`: by order, what is held in disputes. `refunds`: by order, what is to go back.
    `paid_orders`: orders with a payment, by month ("2026-02"); `paid_in`: in the window. `worked`: bench minutes of the last four weeks, on
    `open_days` days."""

    since: int = 0
    uneven: tuple[Line, ...] = ()
    bills: tuple[Bill, ...] = ()
    held: Mapping[int, int] = field(default_factory=dict)
    refunds: Mapping[int, int] = field(default_factory=dict)
    deposits_asked: tuple[DepositAsked, ...] = ()
    taxes: tuple[Taxed, ...] = ()
    parts: tuple[PartRow, ...] = ()
    counted: tuple[Counted, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    storage_days: int = STORAGE_DAYS
    disputes: tuple[Disputed, ...] = ()
    paid_orders: Mapping[str, int] = field(default_factory=dict)
    paid_in: int = 0
    trade_bills: tuple[TradeBill, ...] = ()
    worked: int = 0
    open_days: int = 0


def open_lines(lines: Iterable[Line]) -> list[Line]:
    """Those with money open: owed either way, a deposit held, or in dispute."""
    return [line for line in lines if line.balance or line.deposit or line.disputed]


def month_of(moment: int, house: House) -> str:
    """The month in the shop's zone, "2026-02"."""
    return f"{dt.datetime.fromtimestamp(moment, house.zone):%Y-%m}"


def quarter_of(month: str) -> str:
    """The quarter of a month: "2026 Q1"."""
    return f"{month[:4]} Q{(int(month[5:]) + 2) // 3}"


def orders_of(
    rows: Iterable[Bill | DepositAsked | Disputed | TradeBill | Waiting | Taxed],
) -> tuple[int, ...]:
    """The orders of rows, each once, in their order."""
    return tuple(dict.fromkeys(row.order for row in rows))
