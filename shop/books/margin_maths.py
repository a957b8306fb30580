"""What an order leaves: billed without tax, less parts, post, fees and losses; then less the bench's own minutes.

Definitions: cash margin = billed net - parts - post - payment fees - other costs. Full margin = cash margin - minutes x
what a bench minute costs. Effective hour = cash margin of all orders / all bench hours, unpaid ones included.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from intake.money import quantize


@dataclass(frozen=True)
class Minutes:
    """Bench minutes of one order, whole, paid for or not."""

    look: int = 0
    repair: int = 0
    test: int = 0
    admin: int = 0

    @property
    def all(self) -> int:
        """Every minute spent."""
        return self.look + self.repair + self.test + self.admin


@dataclass(frozen=True)
class OrderMoney:
    """One order's figures in one currency, without tax. `other_cost` is write-offs, losses, fees of a dispute."""

    billed_net: Decimal
    parts_cost: Decimal
    post_cost: Decimal
    payment_fees: Decimal
    other_cost: Decimal
    minutes: int


@dataclass(frozen=True)
class Waterfall:
    """The steps from what was billed to what is left; amounts at the currency's digits, minutes whole."""

    billed_net: Decimal
    parts_cost: Decimal
    post_cost: Decimal
    payment_fees: Decimal
    other_cost: Decimal
    cash_margin: Decimal
    minutes: int
    bench_cost: Decimal
    full_margin: Decimal

    def steps(self) -> tuple[tuple[str, Decimal], ...]:
        """(name, amount) from top to bottom, costs below nought; the two margins are sums and not steps."""
        return (
            ("Billed, without tax", self.billed_net),
            ("Parts", -self.parts_cost),
            ("Post", -self.post_cost),
            ("Payment fees", -self.payment_fees),
            ("Losses and other costs", -self.other_cost),
            ("Bench minutes", -self.bench_cost),
        )


def waterfall(order: OrderMoney, *, cost_per_minute: Decimal, currency: str) -> Waterfall:
    """Margins of one order. Raises TypeError where an amount is not Decimal, ValueError for minutes below nought."""
    if order.minutes < 0:
        raise ValueError("minutes cannot be below nought")
    costs = [order.parts_cost, order.post_cost, order.payment_fees, order.other_cost]
    billed, parts, post, fees, other = (quantize(amount, currency) for amount in [order.billed_net, *costs])
    cash = billed - parts - post - fees - other
    bench = quantize(order.minutes * cost_per_minute, currency)
    return Waterfall(billed, parts, post, fees, other, cash, order.minutes, bench, cash - bench)


def added_up(orders: Iterable[Waterfall], *, currency: str) -> Waterfall:
    """All orders as one: each step is the sum of theirs, already rounded, so the total is what the rows show."""
    rows = list(orders)
    nought = quantize(Decimal(0), currency)
    return Waterfall(
        sum((row.billed_net for row in rows), nought),
        sum((row.parts_cost for row in rows), nought),
        sum((row.post_cost for row in rows), nought),
        sum((row.payment_fees for row in rows), nought),
        sum((row.other_cost for row in rows), nought),
        sum((row.cash_margin for row in rows), nought),
        sum(row.minutes for row in rows),
        sum((row.bench_cost for row in rows), nought),
        sum((row.full_margin for row in rows), nought),
    )


def per_hour(cash_margin: Decimal, minutes: int, *, currency: str) -> Decimal | None:
    """What an hour at the bench earned; None where no minute was spent."""
    return quantize(cash_margin * 60 / minutes, currency) if minutes else None


def payment_fee(paid: Decimal, *, percent: Decimal, fixed: Decimal, currency: str) -> Decimal:
    """The fee of one card payment: percent of it and a fixed sum; nothing for nothing."""
    return quantize(paid * percent / 100 + fixed, currency) if paid else quantize(Decimal(0), currency)
