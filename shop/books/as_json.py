"""Figures and tables as another program reads them. Pure.

Money is a string in the currency's major unit, so that no reader makes a binary fraction of it; counts and shares are numbers; a
moment is ISO 8601 with the offset of the shop's time zone.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from shop.books.figure_words import MONEY, whole
from shop.books.figures import Figure, Table, Value
from shop.books.lines import Books
from shop.books.plain_cells import Names, Plain, plain


def head(books: Books) -> dict[str, Any]:
    """For which moment, period, currency and zone the answer stands."""
    window = books.window
    return {
        "as_of": _moment(books.now, books),
        "period": {
            "key": window.key,
            "words": window.words,
            "since": _moment(window.since, books) if window.since > 1 else None,
            "until": _moment(window.until - 1, books),
        },
        "currency": books.house.currency,
        "time_zone": books.house.zone.key,
    }


def figures(found: Iterable[Figure], books: Books) -> dict[str, Any]:
    """Every figure with its definition and what it rests on."""
    return head(books) | {"figures": [figure(one, books) for one in found]}


def figure(one: Figure, books: Books) -> dict[str, Any]:
    """One figure. `k` of `n` counted, where it is a share; `few`: it rests on fewer than ten."""
    return {
        "key": one.key,
        "name": one.name,
        "value": _value(one.value, one.unit, books),
        "unit": one.unit,
        "n": one.n,
        "k": one.k,
        "counts": one.counts,
        "low": _value(one.low, one.unit, books),
        "high": _value(one.high, one.unit, books),
        "interval": one.interval,
        "means": one.means,
        "open_orders": one.open_orders,
        "before": _value(one.before, one.unit, books),
        "before_n": one.before_n,
        "few": one.few,
    }


def table(one: Table, rows: Sequence[Sequence[Plain]], books: Books) -> dict[str, Any]:
    """A table: its columns with their kinds, its rows by the keys of the columns."""
    keys = [column.key for column in one.columns]
    return head(books) | {
        "key": one.key,
        "name": one.name,
        "means": one.means,
        "columns": [{"key": column.key, "name": column.name, "kind": column.kind} for column in one.columns],
        "rows": [dict(zip(keys, map(_json, row), strict=True)) for row in rows],
    }


def _value(value: Value, unit: str, books: Books) -> str | int | float | None:
    return str(whole(value, books.house)) if value is not None and unit in MONEY else value


def _json(cell: Plain) -> str | int | float | None:
    if isinstance(cell, Decimal):
        return str(cell)
    return cell.isoformat() if isinstance(cell, dt.date) else cell


def _moment(moment: int, books: Books) -> Any:
    return plain(moment, "moment", house=books.house, names=Names({}, {}, {}))
