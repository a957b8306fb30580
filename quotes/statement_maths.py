"""What is owed and how old it is, and the interest that could be asked for. Pure: plain values in, plain values out.

Ages count from the day of the bill: 0 to 30, 31 to 60, 61 to 90, over 90 days. Common practice, no source.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from intake.money import quantize

AGES = ("0 to 30", "31 to 60", "61 to 90", "over 90")
_LIMITS = (30, 60, 90)
NOUGHT = Decimal(0)
DAYS_A_YEAR = 365


@dataclass(frozen=True)
class Movement:
    """One change of what is owed on one order: above nought it grows, below nought it shrinks.

    `number` and `due` are those of an invoice; `settles` is the number of the invoice that a credit note undoes. All else
    (payments, what went back, what was written off) has neither.
    """

    order: int
    number: str
    day: dt.date
    amount: Decimal
    due: dt.date | None = None
    settles: str = ""


@dataclass(frozen=True)
class OpenBill:
    """What is left of one bill. With no number: below nought it is money to pay back on that order, above nought money that
    went back without a bill."""

    order: int
    number: str
    day: dt.date
    due: dt.date
    left: Decimal

    def days_old(self, on: dt.date) -> int:
        return max(0, (on - self.day).days)

    def days_late(self, on: dt.date) -> int:
        """Days past the day it was due; nought for what is not late yet and for money to pay back."""
        return max(0, (on - self.due).days) if self.left > 0 else 0


@dataclass(frozen=True)
class Interest:
    """What one late bill would carry: `daily` rounded to the currency's digits, `by_day` that times the days, `exact`
    the same without rounding the day (rounded once, at the end)."""

    number: str
    left: Decimal
    days: int
    daily: Decimal
    by_day: Decimal
    exact: Decimal


def open_bills(movements: Iterable[Movement]) -> list[OpenBill]:
    """What is left of each bill, oldest first; the sum of `left` is the sum of the movements.

    Within an order a credit note undoes its own invoice first; all else goes to the bill that is due first. Money that
    went back, or that the payer's bank took back, undoes payments, so that the bill is as old as it ever was.
    """
    by_order: dict[int, list[Movement]] = {}
    for movement in movements:
        by_order.setdefault(movement.order, []).append(movement)
    found = [bill for rows in by_order.values() for bill in _open_of_order(rows)]
    return sorted(found, key=lambda bill: (bill.due, bill.day, bill.number, bill.order))


def _open_of_order(rows: Sequence[Movement]) -> list[OpenBill]:
    bills: dict[str, OpenBill] = {}
    rest, last = NOUGHT, max(row.day for row in rows)
    for row in sorted(rows, key=lambda row: row.day):
        if row.amount > 0 and row.number:
            held = bills.get(row.number)
            bills[row.number] = (
                replace(held, left=held.left + row.amount)
                if held
                else OpenBill(row.order, row.number, row.day, row.due or row.day, row.amount)
            )
    for row in rows:
        if row.amount < 0:
            rest += _undo(bills, row)
        elif not row.number:
            rest -= row.amount
    for number, bill in sorted(bills.items(), key=lambda pair: (pair[1].due, pair[1].day, pair[0])):
        taken = min(bill.left, max(rest, NOUGHT))
        bills[number], rest = replace(bill, left=bill.left - taken), rest - taken
    left = [bill for bill in bills.values() if bill.left]
    return [*left, OpenBill(rows[0].order, "", last, last, -rest)] if rest else left


def _undo(bills: dict[str, OpenBill], row: Movement) -> Decimal:
    """Take a credit from its own invoice; what does not fit is free for others."""
    credit, own = -row.amount, bills.get(row.settles)
    if own is None:
        return credit
    taken = min(credit, own.left)
    bills[row.settles] = replace(own, left=own.left - taken)
    return credit - taken


def age_of(days: int) -> str:
    """The name of the age in `AGES`."""
    for limit, name in zip(_LIMITS, AGES, strict=False):
        if days <= limit:
            return name
    return AGES[-1]


def ageing(bills: Iterable[OpenBill], *, on: dt.date) -> dict[str, Decimal]:
    """The sum of each age, all four of them. Money to pay back stands in the youngest."""
    sums = dict.fromkeys(AGES, NOUGHT)
    for bill in bills:
        sums[age_of(bill.days_old(on) if bill.left > 0 else 0)] += bill.left
    return sums


def late_sum(bills: Iterable[OpenBill], *, on: dt.date) -> Decimal:
    """What should have been paid by that day."""
    return sum((bill.left for bill in bills if bill.days_late(on)), NOUGHT)


def interest(number: str, left: Decimal, *, percent: Decimal, days: int, currency: str) -> Interest:
    """Simple interest at `percent` a year of 365 days.

    Source of the form that rounds the day: published guidance on statutory interest on late commercial payments
    (1,000 at 8 % + 0.5 % is 0.23 a day, after 50 days 11.50; without rounding the day 11.64).
    """
    a_year = left * percent / 100
    daily = quantize(a_year / DAYS_A_YEAR, currency)
    return Interest(
        number=number,
        left=left,
        days=days,
        daily=daily,
        by_day=quantize(daily * days, currency),
        exact=quantize(a_year * days / DAYS_A_YEAR, currency),
    )


def proposal(
    bills: Iterable[OpenBill], *, on: dt.date, percent: Decimal, currency: str
) -> tuple[list[Interest], Decimal]:
    """What could be asked for on every late bill, and its sum by rounded days; nothing where the percent is nought."""
    if percent <= 0:
        return [], NOUGHT
    rows = [
        interest(bill.number, bill.left, percent=percent, days=bill.days_late(on), currency=currency)
        for bill in bills
        if bill.days_late(on)
    ]
    return rows, sum((row.by_day for row in rows), NOUGHT)


def month_start(day: dt.date) -> dt.date:
    return day.replace(day=1)


def month_end(month: dt.date) -> dt.date:
    """The last day of the month that begins on `month`."""
    return next_month(month) - dt.timedelta(days=1)


def next_month(month: dt.date) -> dt.date:
    return (month.replace(day=1) + dt.timedelta(days=32)).replace(day=1)


def month_before(month: dt.date) -> dt.date:
    return (month.replace(day=1) - dt.timedelta(days=1)).replace(day=1)
