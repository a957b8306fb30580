"""Any figure and any table of the books by its key, whichever slice it belongs to."""

import datetime as dt
from collections.abc import Iterator, Sequence

from shop.books import gather, line_lists, line_table
from shop.books.figures import Cell, Figure, Table, compared
from shop.books.lines import Books
from shop.books.periods import before
from shop.books.plain_cells import Names
from shop.books.registry import SLICES, Slice
from shop.books.showing import wanted


def open_period(key: str, *, at: dt.datetime) -> Books:
    """The books of a period, one of an old address among them."""
    return gather.open_books(line_lists.FORMER_PERIODS.get(key, key), at=at)


def figures(books: Books) -> list[Figure]:
    """Every figure of every slice, with those of the window before beside them."""
    earlier = before(books.window, house=books.house)
    found: list[Figure] = []
    for part in SLICES:
        now = _figures(part, books)
        found += compared(now, _figures(part, books.within(earlier))) if earlier else now
    return found


def _figures(part: Slice, books: Books) -> Sequence[Figure]:
    return part.figures(books, part.read(books))


def behind(key: str, books: Books) -> tuple[str, tuple[int, ...]] | None:
    """What a figure or a list is called and the pks of the orders behind it; None for a key nobody knows."""
    for part in _likely(key):
        for figure in _figures(part, books):
            if figure.key == key:
                return figure.name, figure.behind
    return line_lists.behind(key, books)


def tables(books: Books) -> list[tuple[str, Sequence[Table]]]:
    """Every table by the name of its slice; last the lines all others are counted from."""
    found = [(part.name, part.tables(books, part.read(books))) for part in SLICES]
    return [*((name, some) for name, some in found if some), ("All of it", [line_table.table(books)])]


def table(key: str, books: Books) -> Table | None:
    """The table of a key; None for a key nobody knows."""
    if key == line_table.KEY:
        return line_table.table(books)
    for part in _likely(key):
        for one in part.tables(books, part.read(books)):
            if one.key == key:
                return one
    return None


def naming(one: Table, rows: Sequence[Sequence[Cell]]) -> Names:
    """What stands for the pks in some rows of a table. Three queries at most."""
    pks = wanted([Table(one.key, "", "", one.columns, [tuple(row) for row in rows])], rows=None)
    return Names(
        gather.codes(pks["order"]) if pks["order"] else {},
        gather.customers(pks["customer"]) if pks["customer"] else {},
        gather.persons(pks["person"]) if pks["person"] else {},
    )


def page_of(key: str) -> Slice | None:
    """The slice on whose page a figure stands; None for a list that is no figure."""
    first = key.partition("-")[0]
    first = {"quote": "promise"}.get(first, first)
    return next((part for part in SLICES if part.key.startswith(first)), None)


def _likely(key: str) -> Iterator[Slice]:
    """The slice a key says it belongs to comes first: the others seldom need to be counted."""
    first = key.partition("-")[0]
    yield from sorted(SLICES, key=lambda part: not part.key.startswith(first))
