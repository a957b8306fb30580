"""The weekly page from every other page's figures: this week, the week before, and what is usual."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.urls import reverse

from shop.books import gather
from shop.books.figures import Figure, Table
from shop.books.house import house
from shop.books.lines import Books
from shop.books.periods import USUAL, before, window_of
from shop.books.places import places
from shop.books.registry import Slice
from shop.books.showing import orders_behind, say, shown_table, wanted
from shop.books.week import layout
from shop.books.week.choice import SECTIONS, Section
from shop.books.week.parts import PARTS
from shop.books.week.sentence import sentence

COMPARED = frozenset(row.key for section in SECTIONS for row in section.rows if row.kind != "now")
TABLES = frozenset(section.table for section in SECTIONS if section.table)
LOSSES = "margin-lost-kinds"
ByKey = dict[str, Figure]


@dataclass(frozen=True)
class Week:
    """`found`: figures by key of this week, the week before, and of the usual stretch; `tables`: those that are shown."""

    books: Books
    found: tuple[ByKey, ByKey, ByKey]
    tables: dict[str, Table]


def gathered(*, at: dt.datetime, slices: Sequence[Slice] | None = None) -> Week:
    """Everything the page says, as of a moment."""
    shop, now = house(), int(at.timestamp())
    week = window_of("week", now=now, house=shop)
    # Up to now and not beyond: what is of now alone is asked of this week, once.
    usual = replace(window_of(USUAL, now=now, house=shop), until=now)
    last = before(week, house=shop) or week
    every = gather.books_since(usual.since, window=week, now=now, shop=shop)
    # The lines of two weeks are few beside those of thirteen, and are gone through many times.
    recent = every.only(lambda line: not line.left or line.left >= last.since)
    found: tuple[ByKey, ByKey, ByKey] = ({}, {}, {})
    tables: dict[str, Table] = {}
    for part in PARTS if slices is None else slices:
        extra = part.read(recent)
        figures = {figure.key: figure for figure in part.figures(recent, extra)}
        found[0].update(figures)
        tables |= {table.key: table for table in part.tables(recent, extra) if table.key in TABLES | {LOSSES}}
        if figures.keys() & COMPARED:
            for place, books in ((1, recent.within(last)), (2, every.within(usual))):
                found[place].update(_figures(part, books))
    return Week(recent, found, tables)


def _figures(part: Slice, books: Books) -> ByKey:
    return {figure.key: figure for figure in part.figures(books, part.read(books))}


def context(week: Week) -> dict[str, Any]:
    """What the template sets. Three queries for names and codes."""
    words = say(week.books)
    sections, note = [], 1
    shortened = {
        section.key: layout.shortened(week.tables[section.table], section.columns, section.most)
        for section in SECTIONS
        if section.table in week.tables
    }
    pks = wanted(shortened.values())
    names = gather.codes(pks["order"]), gather.customers(pks["customer"]), gather.persons(pks["person"])
    for section in SECTIONS:
        rows = layout.rows_of(section, week.found, words, first_note=note)
        note += len(rows)
        table = shortened.get(section.key)
        sections.append(
            {
                "section": section,
                "place": _place(section),
                "rows": [(row, orders_behind(row.key, week.books) if row.behind else "") for row in rows],
                "compared": any(len(row.cells) > 1 for row in rows),
                "table": shown_table(table, week.books, *names) if table else None,
            }
        )
    losses = week.tables[LOSSES].rows if LOSSES in week.tables else []
    return {
        "sections": sections,
        "said": sentence(layout.told(week.found[0], losses, words)),
        "at": dt.datetime.fromtimestamp(week.books.now, dt.UTC),
        "week": week.books.window,
        "places": places(),
        "foreign": week.books.foreign,
        "empty": not week.books.lines,
    }


def _place(section: Section) -> str:
    return str(reverse(section.place))
