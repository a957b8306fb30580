"""A share as a figure and as cells of a table, always with its count and its limits. Pure."""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence

from shop.books.figures import Cell, Column, Figure
from shop.books.lines import House, Line
from shop.books.outcome_maths import Rate

WILSON = "Wilson, 95 %"
SHARE_COLUMNS = (
    Column("share", "Share", "share"),
    Column("low", "At least", "share"),
    Column("high", "At most", "share"),
)


def share_figure(
    key: str,
    name: str,
    *,
    of: Sequence[Line],
    counted: Callable[[Line], bool],
    means: str,
    open_orders: str,
    mark: str,
    counts: str = "order",
) -> Figure:
    """The share of lines that count, with its Wilson limits; nothing to say of none."""
    rate = Rate(sum(counted(line) for line in of), len(of))
    low, high = rate.limits if rate.n else (None, None)
    return Figure(
        key=key,
        name=name,
        value=rate.share,
        unit="share",
        n=rate.n,
        k=rate.k,
        low=low,
        high=high,
        interval=WILSON,
        means=means,
        open_orders=open_orders,
        behind=orders(of),
        counts=counts,
        mark=mark,
    )


def count_figure(
    key: str, name: str, of: Sequence[Line], *, means: str, open_orders: str, mark: str, counts: str = "order"
) -> Figure:
    """How many there are: it is what it is, however few."""
    return Figure(
        key=key,
        name=name,
        value=len(of),
        unit="orders",
        n=len(of),
        means=means,
        open_orders=open_orders,
        behind=orders(of),
        counts=counts,
        mark=mark,
        always=True,
    )


def orders(lines: Iterable[Line]) -> tuple[int, ...]:
    """Their pks."""
    return tuple(line.order for line in lines)


def share_cells(k: int, n: int) -> tuple[Cell, ...]:
    """Share and its limits; three empty cells of none."""
    rate = Rate(k, n)
    return (rate.share, *rate.limits) if n else (None, None, None)


def month_of(moment: int, house: House) -> str:
    """The month of a time in the shop's zone: 2026-02."""
    return dt.datetime.fromtimestamp(moment, house.zone).strftime("%Y-%m")
