"""The margin of orders that left, by remedy, device family, customer and technician. Pure."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from shop.books.figures import Cell, Column, Table
from shop.books.lines import Line
from shop.books.margin.fall_maths import Steps, added
from shop.books.margin.sharing_maths import per_hour


@dataclass(frozen=True)
class Facet:
    """One way to sort orders into groups. `kind`: of the first column of its table."""

    key: str
    name: str
    kind: str
    means: str
    of: Callable[[Line], str | int]


FACETS = (
    Facet("remedy", "Remedy", "text", "the remedy of the quote that was agreed", lambda line: line.remedy),
    Facet("family", "Device family", "text", "the family of the device", lambda line: line.family),
    Facet("customer", "Customer", "customer", "who sent it", lambda line: line.customer),
    Facet(
        "technician", "Technician", "person", "who spent most minutes on it, with all its minutes",
        lambda line: line.technician,
    ),
)  # fmt: skip
AMOUNTS = (
    Column("orders", "Orders", "orders"),
    Column("billed", "Billed", "money"),
    Column("cash", "Cash margin", "money"),
    Column("full", "Full margin", "money"),
    Column("minutes", "Minutes", "minutes"),
    Column("hour", "Cash an hour", "money an hour"),
)


def table(lines: Iterable[Line], facet: Facet) -> Table:
    """A row a group, most cash first; the last row sums all."""
    rows = list(lines)
    groups: dict[str | int, list[Line]] = {}
    for line in rows:
        groups.setdefault(facet.of(line), []).append(line)
    found = [(word, *amounts(added(some))) for word, some in groups.items()]
    return Table(
        key=f"margin-by-{facet.key}",
        name=f"Margin by {facet.name.lower()}",
        means=f"Orders that left in the period, by {facet.means}.",
        columns=(Column(facet.key, facet.name, facet.kind), *AMOUNTS),
        rows=sorted(found, key=lambda row: (-_whole(row[3]), str(row[0]))),
        sums=("", *amounts(added(rows))),
    )


def amounts(steps: Steps) -> tuple[Cell, ...]:
    """The cells of AMOUNTS."""
    hour = per_hour(steps.cash, steps.minutes)
    return (steps.n, steps.billed, steps.cash, steps.full, steps.minutes, hour)


def sorted_by(table: Table, key: str) -> Table:
    """Its rows by one column: numbers from high to low, words from A to Z, empty cells last. An unknown key changes
    nothing."""
    places = {column.key: number for number, column in enumerate(table.columns)}
    if key not in places:
        return table
    place = places[key]
    filled = [row for row in table.rows if row[place] not in (None, "")]
    empty = [row for row in table.rows if row[place] in (None, "")]
    rows = sorted(filled, key=lambda row: _rank(row[place]))
    return Table(table.key, table.name, table.means, table.columns, [*rows, *empty], table.sums)


def _rank(cell: Cell) -> tuple[float, str]:
    return (0.0, cell.casefold()) if isinstance(cell, str) else (-(cell or 0), "")


def _whole(cell: Cell) -> int:
    return cell if isinstance(cell, int) else 0
