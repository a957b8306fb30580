"""The drawings and the sorted groups of the margin's page."""

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.http import urlencode

from intake.house import house as letterhead
from shop.books import gather
from shop.books.charts import Bar, Chart, Fall, bars, falling
from shop.books.figure_words import Say
from shop.books.figures import FEW, Table
from shop.books.lines import Books
from shop.books.margin.fall_maths import added
from shop.books.margin.groups_maths import FACETS, sorted_by, table
from shop.books.margin.origin_maths import Ordered
from shop.books.margin.shapes import Extra
from shop.books.showing import ShownCell, ShownTable, say, shown_table, wanted


@dataclass(frozen=True)
class Group:
    """A table whose rows are sorted by the column a link names. `heads` with the address that sorts by it, empty for the one
    it is sorted by; `opened`: whether it is shown unfolded."""

    table: ShownTable
    heads: tuple[ShownCell, ...]
    opened: bool


def waterfall(books: Books, _: Extra) -> Chart | None:
    """From what was billed to the full margin; None where nothing left."""
    steps = added(books.gone())
    words = say(books)
    drawn = [Fall(one.name, one.amount, words.money(one.amount), one.is_sum) for one in steps.falls()]
    return falling(drawn, title="From billed to full margin, of the orders that left") if steps.n else None


def months(books: Books, extra: Extra) -> Chart | None:
    """Full margin of each month; one of few orders is slanted lines."""
    words = say(books)
    rows = [
        Bar(
            f"{dt.date.fromordinal(month.first):%b %Y}",
            month.full,
            words.money(month.full),
            pale=month.orders < FEW,
        )
        for month in extra.since_the_first
    ]
    return bars(rows, title="Full margin by month, slanted where fewer than ten left") if rows else None


def of_one(order: Ordered) -> dict[str, Any]:
    """Context of one order's page: its line, its steps in words, the drawing."""
    words = Say(order.house, letterhead().locale)
    drawn = [
        Fall(one.name, one.amount, words.money(one.amount), one.is_sum)
        for one in order.steps
        if one.amount or one.is_sum
    ]
    rows = [
        {
            "name": one.name,
            "amount": words.money(one.amount),
            "is_sum": one.is_sum,
            "sources": [(source.words, words.money(source.amount), source.href) for source in one.sources],
        }
        for one in order.steps
    ]
    chart = falling(drawn, title="From billed to what it leaves")
    return {"line": order.line, "rows": rows, "chart": chart}


def groups(books: Books, sort: str) -> list[Group]:
    """By remedy, family, customer and technician; `sort` is the key of a group and of a column, as 'remedy.full'."""
    facet, _, column = sort.partition(".")
    tables = {
        one.key: sorted_by(made, column) if facet == one.key else made
        for one in FACETS
        for made in [table(books.gone(), one)]
    }
    pks = wanted(tables.values())
    names = gather.codes(()), gather.customers(pks["customer"]), gather.persons(pks["person"])
    return [
        _group(key, made, shown_table(made, books, *names), column if facet == key else "", books)
        for key, made in tables.items()
    ]


def _group(key: str, made: Table, shown: ShownTable, column: str, books: Books) -> Group:
    heads = tuple(
        ShownCell(cell.text, "" if one.key == column else _sorting(key, one.key, books), cell.num)
        for cell, one in zip(shown.heads, made.columns, strict=True)
    )
    return Group(shown, heads, opened=bool(column) or key == FACETS[0].key)


def _sorting(facet: str, column: str, books: Books) -> str:
    asked = urlencode({"period": books.window.key, "sort": f"{facet}.{column}"})
    return f"{reverse('shop:books_margin')}?{asked}#margin-by-{facet}"
