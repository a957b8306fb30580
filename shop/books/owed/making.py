"""Figures of sums and shares as this page makes them. Pure."""

from collections.abc import Iterable

from shop.books.figures import Figure
from shop.books.turnaround_maths import wilson

NOW = "As it stands now, whenever the order came."


def money(
    key: str,
    name: str,
    amount: int,
    orders: Iterable[int],
    *,
    means: str,
    treated: str = NOW,
    mark: str = "",
) -> Figure:
    """A sum of money with the orders it is made of: it is what it is, however few they are."""
    behind = tuple(dict.fromkeys(orders))
    return Figure(
        key, name, amount, "money", len(behind), means, treated, behind=behind, mark=mark, always=True
    )


def worth(
    key: str, name: str, amount: int, n: int, *, means: str, counts: str = "part", mark: str = ""
) -> Figure:
    """A sum of money that rests on no orders: parts in bins, counts of them."""
    return Figure(key, name, amount, "money", n, means, "", counts=counts, mark=mark, always=True)


def number(
    key: str, name: str, orders: Iterable[int], *, means: str, treated: str = NOW, mark: str = ""
) -> Figure:
    """How many orders there are."""
    behind = tuple(orders)
    return Figure(
        key, name, len(behind), "orders", len(behind), means, treated, behind=behind, mark=mark, always=True
    )


def share(
    key: str,
    name: str,
    k: int,
    n: int,
    orders: Iterable[int],
    *,
    means: str,
    treated: str,
    mark: str = "",
) -> Figure:
    """`k` of `n` with its Wilson interval; no value where there is nothing to count."""
    low, high = wilson(k, n) if n else (None, None)
    return Figure(
        key, name, k / n if n else None, "share", n, means, treated, behind=tuple(orders), k=k, low=low,
        high=high, interval="Wilson, 95 %" if n else "", mark=mark,
    )  # fmt: skip


def half_up(amount: int, by: int) -> int:
    """A whole division, the half rounded up."""
    return (2 * amount + by) // (2 * by)
