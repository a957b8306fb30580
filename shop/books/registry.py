"""The slices of the books: what each adds up, from which rows, and where its page is."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from shop.books.figures import Figure, Table
from shop.books.lines import Books
from shop.books.margin import queries as margin_queries
from shop.books.margin import sums as margin_sums
from shop.books.owed import queries as owed_queries
from shop.books.owed import sums as owed_sums
from shop.books.promises import queries as promise_queries
from shop.books.promises import sums as promise_sums
from shop.books.time import queries as time_queries
from shop.books.time import sums as time_sums


@dataclass(frozen=True)
class Slice:
    """`url`: the name of its page; `read`: what lines do not hold, read once a window and given to the other two."""

    key: str
    name: str
    url: str
    read: Callable[[Books], Any]
    figures: Callable[[Books, Any], Sequence[Figure]]
    tables: Callable[[Books, Any], Sequence[Table]]


SLICES: tuple[Slice, ...] = (
    Slice("time", "Time", "shop:books_time", time_queries.extra, time_sums.figures, time_sums.tables),
    Slice(
        "margin", "Margin", "shop:books_margin", margin_queries.extra, margin_sums.figures, margin_sums.tables
    ),
    Slice(
        "promises",
        "Promises and quotes",
        "shop:books_promises",
        promise_queries.extra,
        promise_sums.figures,
        promise_sums.tables,
    ),  # fmt: skip
    Slice("owed", "Money owed", "shop:books_owed", owed_queries.extra, owed_sums.figures, owed_sums.tables),
)


def named(key: str) -> Slice:
    """The slice of a key. Raises StopIteration for one that is not there."""
    return next(part for part in SLICES if part.key == key)
