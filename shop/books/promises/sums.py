"""Every figure and table of promises and quotes. Pure."""

from shop.books.figures import Figure, Table
from shop.books.lines import Books
from shop.books.promises import (
    answer_sums,
    answer_tables,
    comeback_sums,
    idea_sums,
    lot_sums,
    promise_sums,
    work_sums,
)
from shop.books.promises.shapes import Extra


def figures(books: Books, extra: Extra) -> list[Figure]:
    """In the order of the page."""
    return [
        *promise_sums.figures(books, extra),
        *answer_sums.figures(books),
        *work_sums.figures(books),
        *comeback_sums.figures(books),
        *idea_sums.figures(books, extra),
    ]


def tables(books: Books, extra: Extra) -> list[Table]:
    """In the order of the page."""
    return [
        *promise_sums.tables(books, extra),
        *answer_tables.tables(books, extra),
        *comeback_sums.tables(books),
        lot_sums.lots(books, extra),
        *idea_sums.tables(books, extra),
    ]
