"""What the page of time must show of the demonstration's twelve orders, to the digit.

The invented month counts a trade batch of four boards as one parcel; the books count each board. Where the two differ, the
batch is looked at once here. Of the clocks the month's notes say 59 % (62.8 of about 106 days, 52.1 of them Hollis's); the
dates of the demonstration's sheets give 61 % (62.0 of 102.1, 52.4 of them his).
"""

from dataclasses import replace
from statistics import median

import pytest

from intake.models import Order
from shop.books.figures import Figure
from shop.books.lines import DAY_SECONDS, Books
from shop.books.time import queries, sums
from shop.books.time.shapes import Extra
from shop.books.time.table_maths import tables_of


def check(books: Books, named: dict[str, Order]) -> None:
    """`books` hold the lines of the twelve alone, the batch as four lines."""
    each, once = _figures(books), _figures(_batch_once(books))
    assert each["time-median"].n == 15
    assert each["time-median"].value == once["time-median"].value == 4.20
    assert each["time-median"].open_orders.endswith("Still here: 2.")
    left = [(line.left - line.arrived) / DAY_SECONDS for line in _batch_once(books).gone()]
    assert len(left) == 10
    assert round(median(left), 2) == 3.69
    old = next(table for table in tables_of(books, queries.extra(books)) if table.key == "time-old")
    assert [(row["order"], row["days"]) for row in old.named()] == [
        (named["hollis"].pk, pytest.approx(53.3)),
        (named["yusra"].pk, pytest.approx(3.3)),
    ]
    assert f"{once['time-flow'].value:.1%}" == "0.9%"
    _clocks(_batch_once(books), once, named)


def _clocks(books: Books, once: dict[str, Figure], named: dict[str, Order]) -> None:
    days = {line.order: line.theirs / DAY_SECONDS for line in books.lines}
    assert round(days[named["hollis"].pk], 1) == 52.4
    assert round(sum(days.values()), 1) == 62.0
    assert f"{once['time-theirs'].value:.0%}" == "61%"
    assert f"{once['time-theirs-without'].value:.0%}" == "20%"
    assert named["hollis"].pk not in once["time-theirs-without"].behind


def _figures(books: Books) -> dict[str, Figure]:
    extra: Extra = queries.extra(books)
    return {figure.key: figure for figure in sums.figures(books, extra)}


def _batch_once(books: Books) -> Books:
    """The four boards as one order, as long as the longest, with the minutes of all."""
    boards = [line for line in books.lines if line.trade]
    last = max(boards, key=lambda line: line.left - line.arrived)
    spent = {name: sum(getattr(line, name) for line in boards) for name in ("look", "repair", "test", "talk")}
    others = [line for line in books.lines if not line.trade]
    return replace(books, lines=(*others, last._replace(**spent)))
