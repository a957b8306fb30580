"""Charts of the monthly report, each from the table that says the same. Pure."""

from collections.abc import Callable, Iterable

from shop.books.charts import Bar, Chart, Fall, bars, falling
from shop.books.figure_words import Say
from shop.books.figures import Table

SUMS = frozenset({"Cash margin", "Full margin", "Billed, without tax"})


def charts_of(tables: Iterable[Table], say: Say) -> dict[str, Chart]:
    """By the key of the table; a table of none of these kinds, or without rows, has no chart."""
    return {table.key: DRAWN[table.key](table, say) for table in tables if table.key in DRAWN and table.rows}


def _falls(table: Table, say: Say) -> Chart:
    steps = [
        Fall(str(name), int(amount or 0), say.money(int(amount or 0)), is_sum=name in SUMS)
        for name, amount in table.rows
    ]
    return falling(steps, title=table.name)


def _stations(table: Table, say: Say) -> Chart:
    rows = []
    for row in table.named():
        middle = row.get("median")
        if isinstance(middle, int | float):
            rows.append(Bar(str(row["station"]), float(middle), f"{say.cell(middle, 'days')} days"))
    return bars(rows, title=table.name)


DRAWN: dict[str, Callable[[Table, Say], Chart]] = {"margin-fall": _falls, "time-stations": _stations}
