"""The margin of every order as a table for a spreadsheet. Pure."""

import csv
import io
from collections.abc import Iterable
from decimal import Decimal

from shop.books.formula_safe import harmless
from shop.books.reckoning import MarginRow

HEAD = (
    "order", "customer", "device", "arrived", "left", "outcome", "billed without tax", "parts", "post", "payment fees",
    "losses and other costs", "cash margin", "minutes", "bench cost", "full margin", "currency",
)  # fmt: skip


def as_csv(rows: Iterable[MarginRow], *, currency: str) -> str:
    """Comma separated, one line an order, amounts with a point and no sign of the currency."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    for row in rows:
        order, steps = row.order, row.steps
        cells: list[str | int | Decimal] = [
            order.code, order.customer, order.what, order.arrived.date().isoformat(),
            order.left.date().isoformat() if order.left else "", order.outcome,
            steps.billed_net, steps.parts_cost, steps.post_cost, steps.payment_fees, steps.other_cost,
            steps.cash_margin, steps.minutes, steps.bench_cost, steps.full_margin, currency,
        ]  # fmt: skip
        writer.writerow([harmless(cell) if isinstance(cell, str) else cell for cell in cells])
    return out.getvalue()
