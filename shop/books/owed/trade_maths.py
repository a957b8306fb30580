"""Trade customers and disputed payments. Pure.

A rate of few boards is drawn towards that of all, as if each customer had 20 boards more that went like the rest (the
mean of a beta-binomial): 20 is this house's own choice, no source.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from intake.stations import Outcome
from shop.books.figures import Column, Figure, Table
from shop.books.lines import Books, Line
from shop.books.owed.making import half_up, share
from shop.books.owed.shapes import Extra, TradeBill, month_of
from shop.books.turnaround_maths import Curve, kaplan_meier, wilson

PSEUDO = 20
NO_FIX = str(Outcome.NO_FIX)


def shrunk(k: int, n: int, of_all: float) -> float:
    """The rate behind `k` of `n`, drawn towards `of_all` by PSEUDO boards."""
    return (k + PSEUDO * of_all) / (n + PSEUDO)


def tried(lines: Iterable[Line]) -> list[Line]:
    """Those that were worked on to an end."""
    return [line for line in lines if line.mended or line.outcome == NO_FIX]


def days_to_pay(bills: Iterable[TradeBill], books: Books, extra: Extra) -> Curve:
    """Days from the bill to the last payment; a bill not settled counts as running. One settled without a payment, by a
    credit note say, tells nothing."""
    running = {bill.order for bill in extra.bills if bill.left > 0} | set(extra.held)
    stays = []
    for bill in bills:
        issued = books.house.ordinal(bill.issued)
        if bill.order in running:
            stays.append((float(max(0, books.today - issued)), False))
        elif bill.paid:
            stays.append((float(max(0, books.house.ordinal(bill.paid) - issued)), True))
    return kaplan_meier(stays)


def flowing(books: Books, extra: Extra) -> list[Figure]:
    """How long the trade takes to pay, and how many payments were disputed."""
    bills = _billed(books, extra)
    curve = days_to_pay(bills, books, extra)
    disputed = {row.order for row in extra.disputes if books.window.holds(row.paid)}
    paid = max(extra.paid_in, len(disputed))
    return [
        Figure(
            "owed-trade-days", "Trade bills are paid after", curve.median, "days", curve.orders,
            "Half of the bills of trade customers issued in this period are paid within that many days (Kaplan and Meier).",
            "Bills not paid yet count as running, never left out.",
            behind=tuple(dict.fromkeys(bill.order for bill in bills)), counts="bill", mark="K30",
        ),
        share(
            "owed-disputes", "Payments disputed", len(disputed), paid, sorted(disputed), mark="K28",
            means="Orders with a payment of this period that was disputed later, of all that paid something in it.",
            treated="Disputes held now are counted; the latest payments can still be disputed.",
        ),
    ]  # fmt: skip


def _billed(books: Books, extra: Extra) -> list[TradeBill]:
    return [bill for bill in extra.trade_bills if books.window.holds(bill.issued)]


def tables(books: Books, extra: Extra) -> list[Table]:
    """Trade customers, disputes by month, disputes to answer."""
    return [_trade(books, extra), _disputes(books, extra), _held(extra)]


_TRADE = (
    Column("customer", "Customer", "customer"),
    Column("boards", "Boards", "boards"),
    Column("tried", "Tried", "boards"),
    Column("no_fix", "No fix", "boards"),
    Column("rate", "No-fix rate, drawn in", "share"),
    Column("low", "Likely from", "share"),
    Column("high", "Likely to", "share"),
    Column("margin", "Full margin a board", "money"),
    Column("here", "Here now", "boards"),
    Column("days", "Paid after, days", "days"),
)


def _trade(books: Books, extra: Extra) -> Table:
    gone = books.gone()
    all_tried = tried(gone)
    of_all = sum(line.outcome == NO_FIX for line in all_tried) / len(all_tried) if all_tried else 0.0
    left = _by_customer(gone)
    here = _by_customer(books.here())
    bills: dict[int, list[TradeBill]] = defaultdict(list)
    for bill in _billed(books, extra):
        bills[bill.customer].append(bill)
    rows: list[tuple[Any, ...]] = [
        (
            customer,
            *_account(left.get(customer, ()), of_all),
            len(here.get(customer, ())),
            days_to_pay(bills[customer], books, extra).median,
        )
        for customer in sorted({*left, *here, *bills}, key=lambda pk: (-len(left.get(pk, ())), pk))
    ]
    return Table(
        "owed-trade",
        "Trade customers",
        "Boards that left in this period. The no-fix rate is drawn towards that of all orders, as if "
        f"{PSEUDO} more boards had gone like the rest; what is likely is by the customer's own count alone (Wilson, 95 %). "
        "Margin is after bench minutes. Days to pay count bills not paid as running.",
        _TRADE,
        rows,
    )


def _by_customer(lines: Iterable[Line]) -> dict[int, list[Line]]:
    found: dict[int, list[Line]] = {}
    for line in lines:
        if line.trade:
            found.setdefault(line.customer, []).append(line)
    return found


def _account(lines: Sequence[Line], of_all: float) -> tuple[int, int, int, float, float, float, int | None]:
    n, k = len(tried(lines)), sum(line.outcome == NO_FIX for line in lines)
    low, high = wilson(k, n)
    margin = half_up(sum(line.full for line in lines), len(lines)) if lines else None
    return len(lines), n, k, shrunk(k, n, of_all), low, high, margin


def _disputes(books: Books, extra: Extra) -> Table:
    found: dict[str, list[int]] = {month: [paid, 0, 0, 0, 0] for month, paid in extra.paid_orders.items()}
    for row in extra.disputes:
        own = found.setdefault(month_of(row.paid, books.house), [0] * 5)
        own[1] += 1
        own[{"won": 2, "lost": 3, "": 4}[row.end]] += 1
    rows: list[tuple[Any, ...]] = [(month, *own) for month, own in sorted(found.items()) if own[0] or own[1]]
    return Table(
        "owed-disputes",
        "Disputes by month of payment",
        "Orders that paid something in a month, and what became of the disputes of those payments. Those held now are there whenever they were paid.",
        (
            Column("month", "Month", "text"),
            Column("paid", "Orders paid", "orders"),
            Column("opened", "Disputed", "count"),
            Column("won", "Won", "count"),
            Column("lost", "Lost", "count"),
            Column("held", "Held", "count"),
        ),
        rows,
    )


def _held(extra: Extra) -> Table:
    rows = [
        (row.order, row.answer_by, row.amount)
        for row in sorted(extra.disputes, key=lambda row: (row.answer_by or 10**7, row.order))
        if not row.end
    ]
    return Table(
        "owed-held",
        "Disputes to answer",
        "Payments held by the payers' banks, by the day an answer is due.",
        (
            Column("order", "Order", "order"),
            Column("answer_by", "Answer by", "day"),
            Column("amount", "Held", "money"),
        ),
        rows,
        ("", "", sum(row[2] for row in rows)) if rows else (),
    )
