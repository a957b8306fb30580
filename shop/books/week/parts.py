"""What the weekly page takes from every other page of the books, and no more: it is opened most, on the most orders."""

from shop.books.figures import Figure, Table
from shop.books.lines import Books
from shop.books.margin import queries as margin_queries
from shop.books.margin import sums as margin_sums
from shop.books.margin import table_maths as margin_tables
from shop.books.margin.shapes import Extra as MarginExtra
from shop.books.owed import device_maths, money_maths
from shop.books.owed import queries as owed_queries
from shop.books.owed.shapes import Extra as OwedExtra
from shop.books.promises import answer_sums, promise_sums
from shop.books.registry import Slice
from shop.books.time import queries as time_queries
from shop.books.time import sums as time_sums
from shop.books.time.shapes import Extra as TimeExtra
from shop.books.time.table_maths import old_table


def _is_over(books: Books) -> bool:
    return books.window.until <= books.now


def _oldest(books: Books, extra: TimeExtra) -> list[Table]:
    return [old_table(books, extra)]


def _margin(books: Books) -> MarginExtra:
    read = margin_queries.brief if _is_over(books) else margin_queries.extra
    return read(books)


def _nothing(_books: Books) -> None:
    """The lines hold all of it."""


def _promises(books: Books, _rest: None) -> list[Figure]:
    return [*promise_sums.brief(books), *answer_sums.brief(books)]


def _no_tables(_books: Books, _rest: object) -> list[Table]:
    return []


def _owed(books: Books) -> OwedExtra:
    return OwedExtra() if _is_over(books) else owed_queries.brief(books)


def _stands(books: Books, extra: OwedExtra) -> list[Figure]:
    if _is_over(books):
        return []
    return [*money_maths.standing(books, extra), *device_maths.standing(books, extra)]


PARTS: tuple[Slice, ...] = (
    Slice("time", "Time", "shop:books_time", time_queries.brief, time_sums.brief, _oldest),
    Slice("margin", "Margin", "shop:books_margin", _margin, margin_sums.brief, margin_tables.brief),
    Slice("promises", "Promises and quotes", "shop:books_promises", _nothing, _promises, _no_tables),
    Slice("owed", "Money owed", "shop:books_owed", _owed, _stands, _no_tables),
)
