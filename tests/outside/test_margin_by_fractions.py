"""A month of orders walked through the real actions, and its margin worked out again from the bare rows in exact fractions.

Source: none outside the house; a second way of counting, with `fractions.Fraction` alone and no code of the books: each order's
amounts are rounded half up to the cent as the definitions say (common practice), and nothing before.
"""

import random
from collections.abc import Iterable
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest

from intake.models import Order
from quotes.models import Invoice, Move, Part, Payment
from shop.books import gather
from shop.books.margin import queries, sums
from shop.demo import steps
from shop.models import Cost, Parcel, WorkSession
from tests import walk

RATE = Fraction(7, 10)
ORDERS = 12


def cents(amount: Fraction) -> int:
    """Half up, away from nought."""
    whole = int(abs(amount) * 100 + Fraction(1, 2))
    return whole if amount >= 0 else -whole


def exact(amounts: Iterable[Decimal]) -> Fraction:
    return sum((Fraction(amount) for amount in amounts), Fraction(0))


def walked(dice: random.Random, bench: SimpleNamespace, at: datetime) -> None:
    """One order with minutes, fees, spoiled parts and losses by chance, as far as chance takes it."""
    by = bench.owner
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    walk.find(order, by=by, at=at, minutes=dice.randint(3, 90))
    walk.quote(order, by=by, at=at)
    end = dice.choice(["mend", "mend", "mend", "back", "waits"])
    if end == "waits":
        return
    walk.answer(order, at=at, choice=end)
    if end == "mend":
        if dice.random() < 0.6:
            part = Part.objects.filter(on_hand__gt=5).order_by("pk").first()
            steps.fit(order, part, 1, by=by, at=at, spoiled=True, why="slipped")
        walk.mend(order, by=by, at=at, minutes=dice.randint(5, 200))
        walk.test_and_pass(order, by=by, at=at, minutes=dice.randint(1, 40))
    walk.pay(order, by=by, at=at, fee=Decimal(dice.randint(0, 999)) / 100)
    if dice.random() < 0.3:
        amount = Decimal(dice.randint(1, 30_000)) / 1000
        Cost.objects.create(order=order, key=f"c{order.pk}", what="A loss", amount=amount, at=at, by=by)
    if dice.random() < 0.9:
        walk.send(order, by=by, at=at, cost=f"{dice.randint(0, 2000) / 100:.2f}")


def again(order: Order) -> dict[str, int]:
    """One order's amounts in cents, from its rows."""
    moves = Move.objects.filter(order=order, kind__in=["consume", "spoil"])
    cost = {
        kind: cents(
            sum((-Fraction(move.on_hand_change) * Fraction(move.unit_cost) for move in moves if move.kind == kind), Fraction(0))
        )
        for kind in ("consume", "spoil")
    }  # fmt: skip
    minutes = sum(WorkSession.objects.filter(order=order).values_list("minutes", flat=True))
    billed = cents(exact(Invoice.objects.filter(order=order).values_list("net", flat=True)))
    fees = cents(exact(Payment.objects.filter(order=order).values_list("fee", flat=True)))
    losses = cents(exact(Cost.objects.filter(order=order).values_list("amount", flat=True)))
    post = cents(exact(Parcel.objects.filter(order=order).values_list("cost", flat=True)))
    cash = billed - cost["consume"] - cost["spoil"] - post - fees - losses
    bench = cents(minutes * RATE)
    return {
        "billed": billed, "cash": cash, "full": cash - bench, "bench": bench, "minutes": minutes, "losses": losses,
    }  # fmt: skip


def total(rows: Iterable[dict[str, int]], name: str) -> int:
    return sum(row[name] for row in rows)


@pytest.mark.parametrize("seed", [3, 11])
def test_margin_of_a_month_equals_exact_fractions(bench: SimpleNamespace, at: datetime, seed: int) -> None:
    dice = random.Random(seed)
    for number in range(ORDERS):
        walked(dice, bench, at + timedelta(hours=number))
    books = gather.open_books("month", at=at + timedelta(days=2))
    extra = queries.extra(books)
    found = {figure.key: figure.value for figure in sums.figures(books, extra)}
    orders = list(Order.objects.select_related("customer").filter(arrived_at__isnull=False))
    rows = {order.pk: again(order) for order in orders}
    gone = [rows[order.pk] for order in orders if order.sent_at]
    here = [rows[order.pk] for order in orders if not order.sent_at]
    assert gone and here
    minutes = total(rows.values(), "minutes")
    cash, losses = total(rows.values(), "cash"), total(rows.values(), "losses")
    assert found["margin-billed"] == total(gone, "billed")
    assert found["margin-cash"] == total(gone, "cash")
    assert found["margin-full"] == total(gone, "full")
    assert found["margin-progress"] == total(here, "full")
    assert found["margin-minutes"] == minutes
    assert found["margin-hour"] == cents(Fraction(cash, 100) * 60 / minutes)
    assert found["margin-hour-undisturbed"] == cents(Fraction(cash + losses, 100) * 60 / minutes)
    _failed(orders, rows, found)
    assert queries.by_month("USD", today=books.today)[-1].full == total(gone, "full")


def _failed(orders: list[Order], rows: dict[int, dict[str, int]], found: dict[str, Any]) -> None:
    unpaid = [rows[order.pk] for order in orders if order.outcome == "declined" or order.station == 50]
    mended = [rows[order.pk] for order in orders if order.outcome == "fixed" and rows[order.pk]["billed"]]
    burden = total(unpaid, "bench")
    assert found["margin-burden"] == burden
    assert found["margin-burden-each"] == cents(Fraction(burden, 100) / len(mended))
    lost = 0
    for order in orders:
        row = rows[order.pk]
        if order.sent_at or order.outcome == "declined":
            lost += row["losses"] + max(0, -(row["full"] + row["losses"]))
    assert found["margin-lost"] == lost
