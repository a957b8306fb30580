"""Figures and tables of the books as a page shows them, with the way to the orders behind."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.http import urlencode

from intake.house import house
from shop.books.figure_words import Say, month_said
from shop.books.figures import FEW, Cell, Column, Figure, Table
from shop.books.lines import Books
from shop.books.plain_cells import NAMED, Names

ROWS = 50
WORDS = frozenset({"text", "order", "customer", "person", "day", "moment"})
# Columns that hold a rate or a middle, and those that say on how many it rests.
RATES = frozenset({"low", "median", "rate", "ratio", "hour"})
RESTS_ON = frozenset({"orders", "sent", "due", "answers", "boards", "said"})
# Columns of months, which are text such as '2026-09' in files.
MONTHS = frozenset({"month", "when"})
UNKNOWN = {"order": "", "customer": "no customer", "person": "nobody yet", "text": "not said"}


@dataclass(frozen=True)
class Shown:
    """One figure in words. `href`: the orders it rests on, or empty; `pale`: it rests on too few to lean on."""

    key: str
    name: str
    value: str
    before: str
    rests: str
    interval: str
    means: str
    open_orders: str
    href: str
    pale: bool
    mark: str


@dataclass(frozen=True)
class ShownCell:
    """`num`: set to the right; `head`: the words of its column, for narrow screens."""

    text: str
    href: str = ""
    num: bool = False
    head: str = ""


class ShownRow(tuple[ShownCell, ...]):
    """A row in words. `pale`: what it says rests on too few to lean on."""

    pale = False


@dataclass(frozen=True)
class ShownTable:
    """The first ROWS rows of a table in words; `more` are in the file alone. `files`: (words, address)."""

    key: str
    name: str
    means: str
    heads: tuple[ShownCell, ...]
    rows: tuple[ShownRow, ...]
    sums: tuple[ShownCell, ...]
    more: int
    files: tuple[tuple[str, str], ...]


def say(books: Books) -> Say:
    """The books' currency and zone with the shop's own locale."""
    return Say(books.house, house().locale)


def shown(figure: Figure, books: Books) -> Shown:
    """A figure in words."""
    words = say(books)
    return Shown(
        key=figure.key,
        name=figure.name,
        value=words.shown(figure),
        before=words.before(figure),
        rests=words.rests(figure),
        interval=words.limits(figure),
        means=figure.means,
        open_orders=figure.open_orders,
        href=orders_behind(figure.key, books) if figure.behind else "",
        pale=figure.few,
        mark=figure.mark,
    )


def orders_behind(key: str, books: Books) -> str:
    """The address of the orders a figure of this window rests on."""
    return f"{reverse('shop:books_orders')}?{urlencode({'figure': key, 'period': books.window.key})}"


def shown_table(
    table: Table,
    books: Books,
    codes: Mapping[int, str],
    customers: Mapping[int, str],
    persons: Mapping[int, str],
) -> ShownTable:
    """A table in words: orders lead to their sheets; what is not among the words is shown by its number."""
    names, words = Names(codes, customers, persons), say(books)
    heads = tuple(ShownCell(column.name, num=column.kind not in WORDS) for column in table.columns)
    rows = tuple(_row(row, table.columns, names, words) for row in table.rows[:ROWS])
    if (spot := _counts(table.columns)) is not None:
        for row, shown_row in zip(table.rows, rows, strict=False):
            shown_row.pale = isinstance(n := row[spot], int) and n < FEW
    sums = _row(table.sums, table.columns, names, words, blank=True) if table.sums else ShownRow()
    return ShownTable(
        table.key,
        table.name,
        table.means,
        heads,
        rows,
        sums,
        max(0, len(table.rows) - ROWS),
        files_of(table.key, books.window.key),
    )


def _counts(columns: Sequence[Column]) -> int | None:
    """Where the rows of a table of rates say on how many each rests; None where a row is no sample."""
    keys = [column.key for column in columns]
    if "day" in keys or RATES.isdisjoint(keys):
        return None
    return next((spot for spot, key in enumerate(keys) if key in RESTS_ON), None)


def files_of(key: str, period: str) -> tuple[tuple[str, str], ...]:
    """Words and addresses of a table's files."""
    asked = urlencode({"period": period})
    return tuple(
        (f"as {kind.upper()}", f"{reverse('shop:books_file', args=[key, kind])}?{asked}")
        for kind in ("csv", "xlsx")
    )


def wanted(tables: Iterable[Table], *, rows: int | None = ROWS) -> dict[str, set[int]]:
    """Pks by kind ('order', 'customer', 'person') that stand in the first rows (None: all) of tables."""
    found: dict[str, set[int]] = {"order": set(), "customer": set(), "person": set()}
    for table in tables:
        places = [(spot, column.kind) for spot, column in enumerate(table.columns) if column.kind in found]
        for row in table.rows[:rows]:
            for spot, kind in places:
                if isinstance(pk := row[spot], int) and pk:
                    found[kind].add(pk)
    return found


def _row(
    row: Sequence[Cell], columns: Sequence[Column], names: Names, words: Say, *, blank: bool = False
) -> ShownRow:
    return ShownRow(
        _cell(cell, column, names, words, blank=blank) for cell, column in zip(row, columns, strict=True)
    )


def _cell(cell: Cell, column: Column, names: Names, words: Say, *, blank: bool) -> ShownCell:
    kind, num = column.kind, column.kind not in WORDS
    if blank and cell in (None, "", 0) and not num:
        return ShownCell("", head=column.name)
    if isinstance(cell, int) and kind in NAMED:
        text = names.of(kind, cell) or UNKNOWN[kind]
        known = kind == "order" and cell in names.codes
        return ShownCell(text, reverse("shop:sheet", args=[text]) if known else "", head=column.name)
    if kind == "text" and cell in (None, ""):
        return ShownCell(UNKNOWN["text"], head=column.name)
    of_months = column.key in MONTHS or column.name.startswith("Month")
    text = month_said(cell) if isinstance(cell, str) and of_months else words.cell(cell, kind)
    return ShownCell(text, num=num, head=column.name)
