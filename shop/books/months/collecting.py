"""The figures of a month and of the one before, in words, as they are printed and kept."""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, replace
from typing import Any

from intake.models import Order
from shop.books import gather
from shop.books.charts import Chart
from shop.books.figures import Figure, Table, compared
from shop.books.house import house
from shop.books.lines import Books, House, Window
from shop.books.margin.drawn import waterfall
from shop.books.months import month_maths
from shop.books.promises.drawings import cohorts
from shop.books.registry import SLICES, Slice
from shop.books.showing import ShownTable, say, shown, shown_table, wanted
from shop.books.time.drawn import gone_by_day, stations
from shop.books.week.layout import told
from shop.books.week.sentence import sentence
from shop.models import BookLine

SHORT = 12
# By slice; each has a table below that says the same.
DRAWN: dict[str, tuple[Callable[[Books, Any], Chart | None], ...]] = {
    "time": (gone_by_day, stations),
    "margin": (waterfall,),
    "promises": (cohorts,),
}
TABLES = frozenset(
    {
        "margin-fall",
        "margin-lost-top",
        "margin-lost-kinds",
        "margin-by-remedy",
        "time-curve",
        "time-stations",
        "time-clocks",
        "time-old",
        "quote-cohorts",
        "owed-ages",
    }
)
LOSSES = "margin-lost-kinds"


def collected(month: str, *, at: dt.datetime, slices: Sequence[Slice] | None = None) -> dict[str, Any]:
    """Everything the report of a month says, as plain values that never change: what JSON can hold."""
    shop, now = house(), int(at.timestamp())
    window = month_maths.window_of(month, now=now, house=shop)
    earlier = month_maths.window_of(month_maths.month_before(month), now=now, house=shop)
    books = gather.books_since(earlier.since, window=window, now=now, shop=shop)
    parts: list[dict[str, Any]] = []
    figures: dict[str, Figure] = {}
    losses = Table(LOSSES, "", "", (), ())
    for part in SLICES if slices is None else slices:
        rest = part.read(books)
        found, tables = list(part.figures(books, rest)), list(part.tables(books, rest))
        past = books.within(earlier)
        found = compared(found, list(part.figures(past, part.read(past))))
        figures |= {figure.key: figure for figure in found}
        losses = next((table for table in tables if table.key == LOSSES), losses)
        if found:
            parts.append(
                _part(
                    part.name,
                    found,
                    [row for row in tables if row.key in TABLES],
                    books,
                    _charts(part, books, rest),
                )
            )
    words = say(books)
    return {
        "month": month,
        "words": window.words,
        "before": earlier.words,
        "as_of": at.isoformat(),
        "foreign": books.foreign,
        "said": sentence(told(figures, losses.rows, words, stretch="month")),
        "parts": parts,
    }


def moved_in(window: Window, shop: House) -> bool:
    """Whether any order came or left in it. Two queries at most."""
    left = BookLine.objects.filter(currency=shop.currency, left__gte=window.since, left__lt=window.until)
    if left.exists():
        return True
    since, until = (dt.datetime.fromtimestamp(moment, dt.UTC) for moment in (window.since, window.until))
    return bool(Order.objects.filter(arrived_at__gte=since, arrived_at__lt=until).exists())


def _charts(part: Slice, books: Books, rest: Any) -> list[Chart]:
    drawn = [draw(books, rest) for draw in DRAWN.get(part.key, ())]
    return [chart for chart in drawn if chart is not None]


def _part(
    name: str, figures: Iterable[Figure], tables: Sequence[Table], books: Books, charts: Iterable[Chart]
) -> dict[str, Any]:
    """One slice: its figures in words beside their plain values, its short tables, and the charts of those."""
    pks = wanted(tables)
    names = gather.codes(pks["order"]), gather.customers(pks["customer"]), gather.persons(pks["person"])
    return {
        "name": name,
        "figures": [_figure(figure, books) for figure in figures],
        "tables": [_table(table, shown_table(table, books, *names)) for table in tables],
        "charts": [{"title": chart.title, "desc": chart.desc, "svg": chart.svg} for chart in charts],
    }


def _figure(figure: Figure, books: Books) -> dict[str, Any]:
    said = asdict(shown(replace(figure, behind=()), books))
    plain = {"unit": figure.unit, "number": figure.value, "n": figure.n, "k": figure.k}
    return {name: value for name, value in said.items() if name != "href"} | plain


def _table(table: Table, said: ShownTable) -> dict[str, Any]:
    return {
        "key": said.key,
        "name": said.name,
        "means": said.means,
        "heads": [[cell.text, cell.num] for cell in said.heads],
        "rows": [[[cell.text, cell.num] for cell in row] for row in said.rows[:SHORT]],
        "sums": [[cell.text, cell.num] for cell in said.sums],
        "more": max(0, len(table.rows) - SHORT),
    }
