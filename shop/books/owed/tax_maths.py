"""Tax on invoices and credit notes by their day of issue. Pure.

The day of issue as the tax point is common practice, no source; where another day counts is for an adviser to say.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from typing import Any

from shop.books.figures import Column, Figure, Table
from shop.books.lines import Books
from shop.books.owed.making import money
from shop.books.owed.shapes import Extra, Taxed, month_of, orders_of, quarter_of

MEANS = "Tax on invoices by the day of issue, credit notes taken off."
LONG = " Two years back at most; what is older stands in the closings of its days."


def flowing(books: Books, extra: Extra) -> list[Figure]:
    """Tax billed in the window."""
    rows = _within(books, extra)
    return [
        money(
            "owed-tax", "Tax billed", sum(row.tax for row in rows), orders_of(rows), mark="K29",
            means=MEANS + (LONG if extra.since > books.window.since else ""),
            treated="Orders still here count where they were billed; drafts do not.",
        )
    ]  # fmt: skip


def tables(books: Books, extra: Extra) -> list[Table]:
    """By month and by quarter, profile and rate."""
    rows, house = _within(books, extra), books.house
    return [
        _table("owed-tax-months", "Tax by month", rows, lambda row: month_of(row.issued, house)),
        _table(
            "owed-tax-quarters", "Tax by quarter", rows, lambda row: quarter_of(month_of(row.issued, house))
        ),
    ]


def _within(books: Books, extra: Extra) -> list[Taxed]:
    return [row for row in extra.taxes if books.window.holds(row.issued)]


def _table(key: str, name: str, taxes: Iterable[Taxed], when: Callable[[Taxed], str]) -> Table:
    sums: dict[tuple[str, str, str], list[int]] = defaultdict(lambda: [0, 0, 0])
    for row in taxes:
        own = sums[when(row), row.profile, row.rate]
        own[0] += 1
        own[1] += row.net
        own[2] += row.tax
    rows: list[tuple[Any, ...]] = [(*place, *own) for place, own in sorted(sums.items())]
    return Table(
        key,
        name,
        f"{MEANS} A row for each profile and each category with its percent.",
        (
            Column("when", "When", "text"),
            Column("profile", "Profile", "text"),
            Column("rate", "Category and percent", "text"),
            Column("documents", "Documents", "count"),
            Column("net", "Net", "money"),
            Column("tax", "Tax", "money"),
        ),
        rows,
        ("", "", "", *(sum(row[spot] for row in rows) for spot in (3, 4, 5))) if rows else (),
    )
