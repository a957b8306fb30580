"""Cells of a table as plain values for a file or another program. Pure.

Money is a Decimal at the currency's digits, a day a date, a moment ISO 8601 with the shop's offset, a span whole seconds, a share 0 to 1;
None stands for nothing (never, nobody, not known).
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from shop.books.figure_words import MONEY, whole
from shop.books.figures import Cell, Column
from shop.books.lines import House

Plain = str | int | float | Decimal | dt.date | None
NAMED = frozenset({"order", "customer", "person"})
UNITS = {
    "share": "0 to 1",
    "days": "days",
    "hours": "hours",
    "minutes": "minutes",
    "seconds": "seconds",
    "per 100": "in 100",
}


@dataclass(frozen=True)
class Names:
    """What stands for the pks in tables."""

    codes: Mapping[int, str]
    customers: Mapping[int, str]
    persons: Mapping[int, str]

    def of(self, kind: str, pk: int) -> str:
        """The word for a pk in a column of a kind of NAMED; its number where it has none, nothing for nobody."""
        known = {"order": self.codes, "customer": self.customers, "person": self.persons}[kind]
        return known.get(pk, str(pk) if pk else "")


def plain(cell: Cell, kind: str, *, house: House, names: Names) -> Plain:
    """A cell of a column of this kind as a plain value."""
    if cell is None or isinstance(cell, str):
        return cell
    if kind in NAMED:
        return names.of(kind, int(cell)) or None
    if kind in MONEY:
        return whole(cell, house)
    if kind == "day":
        return dt.date.fromordinal(int(cell)) if cell > 0 else None
    if kind == "moment":
        moment = dt.datetime.fromtimestamp(int(cell), house.zone)
        return moment.isoformat(timespec="seconds") if cell > 0 else None
    if kind == "seconds":
        return int(cell) if cell >= 0 else None
    return cell


def head_of(column: Column, house: House) -> str:
    """The head of a column in a file: its words and the unit, where the words do not say it."""
    if column.kind in MONEY:
        unit = house.currency + (" an hour" if column.kind == "money an hour" else "")
    else:
        unit = UNITS.get(column.kind, "")
    return column.name if not unit or unit in column.name.lower() else f"{column.name} ({unit})"


def as_text(value: Plain) -> str:
    """A plain value as it stands in a file of text: no signs between thousands, a point before the decimals."""
    if value is None:
        return ""
    if isinstance(value, dt.date):
        return value.isoformat()
    return repr(value) if isinstance(value, float) else str(value)
