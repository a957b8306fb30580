"""What a new revision changes against the one before, so that the changes add up to the difference of the totals."""

from decimal import Decimal
from typing import Any

from intake.models import Order
from quotes.differences import Difference, Entry, differences, entries
from quotes.models import Quote, QuoteLine
from quotes.pricing import Priced


def former(order: Order) -> Quote | None:
    """The newest quote that was sent: the one a new revision replaces or adds to."""
    return order.quotes.order_by("-revision").first()


def changes_since(before: Quote, now: Priced, *, inclusive: bool) -> list[dict[str, Any]]:
    """Keys kind, text, before, after, change, was, now; amounts as text or None. Of the repair, extras apart."""
    found = differences(_entries(before), [row for row in entries(now, inclusive=inclusive) if row.amount])
    return [_plain(row) for row in found]


def _plain(row: Difference) -> dict[str, Any]:
    return {
        "kind": row.kind,
        "text": row.text,
        "before": _text(row.before),
        "after": _text(row.after),
        "change": str(row.change),
        "was": row.was,
        "now": row.now,
    }


def _text(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def _entries(quote: Quote) -> list[Entry]:
    """The sent quote as it was shown: with the tax in its lines where its prices held it, else each tax apart."""
    shown = quote.shown
    rows = list(quote.lines.filter(choice="mend", extra="").order_by("number"))
    found = [
        Entry("line", _key(row), row.text, Decimal(line["amount"]), _detail(row))
        for row, line in zip(rows, shown["lines"], strict=True)
    ]
    if not shown["tax_inclusive"]:
        found += [_tax(tax, shown) for tax in shown["taxes"]]
    return [row for row in found if row.amount]


def _tax(tax: dict[str, Any], shown: dict[str, Any]) -> Entry:
    rate = f"{Decimal(tax['rate']).normalize():f}"
    letter = next(
        (
            row["category"]
            for row in shown["choices"][0].get("taxes", ())
            if Decimal(row["rate"]) == Decimal(tax["rate"]) and Decimal(row["tax"]) == Decimal(tax["tax"])
        ),
        "S",
    )
    return Entry("tax", f"{letter} {rate}", f"{tax['name']} {rate} %", Decimal(tax["tax"]))


def _key(row: QuoteLine) -> str:
    if row.part_id:
        return f"part:{row.part_id}"
    return f"remedy:{row.remedy_id}" if row.remedy_id else f"{row.kind} {row.text.casefold()}"


def _detail(row: QuoteLine) -> str:
    """As `quotes.differences` writes quantity and price."""
    if row.quantity == 1 and row.per == 1:
        return ""
    base = f" / {row.per.normalize():f}" if row.per != 1 else ""
    return f"{row.quantity.normalize():f} x {row.unit_price.normalize():f}{base}"
