"""The form every figure and every table of the books has, so that page, print, file and JSON say the same. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

Unit = Literal[
    "money",
    "days",
    "hours late",
    "minutes",
    "orders",
    "share",
    "ratio",
    "money an hour",
    "per 100",
    "kappa",
    "days a week",
    "boards",
]
Value = int | float | None
Cell = int | float | str | None
# Below this many orders a figure is shown grey: common practice, no source.
FEW = 10


@dataclass(frozen=True)
class Figure:
    """One figure with all that is needed to trust it.

    `value`: money in smallest units; days, hours as float; a share 0 to 1; None: nothing to say yet. `n`: how many orders (or
    quotes, promises) it rests on; `k` of them counted, where it is a share. `low`, `high`: limits of `interval` ("Wilson, 95 %").
    `means`: the definition, one or two sentences. `open_orders`: how orders still open were treated. `behind`: pks of the orders
    it rests on. `before`: its value in the stretch of time before, filled in by `compared`. `mark`: the line of the list of
    definitions it follows, such as "K1", kept for tests and files.
    """

    key: str
    name: str
    value: Value
    unit: Unit
    n: int
    means: str
    open_orders: str
    behind: tuple[int, ...] = ()
    k: int | None = None
    low: float | None = None
    high: float | None = None
    interval: str = ""
    counts: str = "order"
    before: Value = None
    before_n: int | None = None
    mark: str = ""
    always: bool = False

    @property
    def few(self) -> bool:
        """Rests on too few to lean on. A sum of money (`always`) is what it is, however few orders it has."""
        return self.n < FEW and not self.always


@dataclass(frozen=True)
class Column:
    """`kind`: 'text', 'order' (its pk in the rows, its code in a file), 'customer' and 'person' (pk in the rows), 'day' (ordinal), 'moment' (seconds), 'seconds' (a span), or a unit."""

    key: str
    name: str
    kind: str


@dataclass(frozen=True)
class Table:
    """Rows behind figures and charts: shown as a table twin, written to CSV and XLSX, given as JSON. `rows` hold plain values
    in the order of `columns`; `sums` is a last row of totals, or empty. `means`: what a row is."""

    key: str
    name: str
    means: str
    columns: tuple[Column, ...]
    rows: Sequence[tuple[Cell, ...]]
    sums: tuple[Cell, ...] = field(default=())

    def named(self) -> Iterator[dict[str, Cell]]:
        """Rows by the keys of their columns."""
        keys = [column.key for column in self.columns]
        for row in self.rows:
            yield dict(zip(keys, row, strict=True))


def compared(now: Sequence[Figure], before: Sequence[Figure]) -> list[Figure]:
    """Figures of a window with those of the window before beside them, matched by key."""
    old = {figure.key: figure for figure in before}
    return [
        replace(figure, before=old[figure.key].value, before_n=old[figure.key].n)
        if figure.key in old
        else figure
        for figure in now
    ]
