"""Every line of a window as a table: what all other tables that count orders are made from. Pure."""

from collections.abc import Iterator, Sequence
from typing import overload

from shop.books.figures import Cell, Column, Table
from shop.books.lines import Books, Line

KEY = "order-lines"
NAME = "Order by order, all that is counted"
MEANS = (
    "A row is an order that came, was quoted, left or got home in the period, or is in the building now; one that got home in it "
    "and left long before is not looked for. Everything that the books count of orders can be worked out again from these rows."
)
_TEXT = ("currency", "family", "fault", "remedy", "idea", "outcome", "cause", "answer", "choice", "channel")
_MOMENT = ("arrived", "left", "home", "first_sent", "answered")
_DAY = ("left_day", "first_promise", "last_promise", "due")
_MONEY = (
    "quoted", "billed", "parts", "spoiled", "post", "fees", "losses", "bench", "balance", "deposit", "disputed", "declared",
)  # fmt: skip
_MINUTES = ("quoted_minutes", "look", "repair", "test", "talk")
_SECONDS = ("ours", "theirs", "supplier", "carrier", "part_wait")
_NAMES = {
    "ours": "shop's clock", "theirs": "customer's clock", "supplier": "supplier's clock", "carrier": "carrier's clock",
    "first_sent": "first quote sent", "quoted_minutes": "minutes quoted", "look": "minutes looking",
    "repair": "minutes repairing", "test": "minutes testing", "talk": "minutes talking", "bench": "bench cost",
    "idea": "customer's idea", "part_wait": "waited for a part", "comeback_of": "comeback of",
}  # fmt: skip
_KINDS = {
    **dict.fromkeys(_TEXT, "text"),
    **dict.fromkeys(_MOMENT, "moment"),
    **dict.fromkeys(_DAY, "day"),
    **dict.fromkeys(_MONEY, "money"),
    **dict.fromkeys(_MINUTES, "minutes"),
    **dict.fromkeys(_SECONDS, "seconds"),
    "order": "order",
    "comeback_of": "order",
    "customer": "customer",
    "technician": "person",
    "trade": "yes or no",
    "needs_part": "yes or no",
    "station": "count",
}
# Two may bear one name: their numbers tell them apart.
_NUMBERED = {"customer": "customer number", "technician": "technician number"}


def _columns() -> Iterator[tuple[int, Column]]:
    for spot, field in enumerate(Line._fields):
        kind = "seconds" if field.startswith("at") and field[2:].isdecimal() else _KINDS[field]
        name = (
            f"at station {field[2:]}" if field[2:].isdecimal() else _NAMES.get(field, field.replace("_", " "))
        )
        yield spot, Column(field, name, kind)
        if field in _NUMBERED:
            yield spot, Column(f"{field}_number", _NUMBERED[field], "count")


_SPOTS = tuple(_columns())
COLUMNS = tuple(column for _, column in _SPOTS)


class LineRows(Sequence[tuple[Cell, ...]]):
    """Rows that are made as they are read: a year's lines are many."""

    def __init__(self, lines: Sequence[Line]) -> None:
        self._lines = lines

    def __len__(self) -> int:
        return len(self._lines)

    @overload
    def __getitem__(self, spot: int) -> tuple[Cell, ...]: ...
    @overload
    def __getitem__(self, spot: slice) -> "LineRows": ...
    def __getitem__(self, spot: int | slice) -> "tuple[Cell, ...] | LineRows":
        if isinstance(spot, slice):
            return LineRows(self._lines[spot])
        line = self._lines[spot]
        return tuple(_said(line[place], column.kind) for place, column in _SPOTS)


def _said(value: Cell, kind: str) -> Cell:
    # A kept line may hold 1 and 0 for them.
    return ("yes" if value else "no") if kind == "yes or no" else value


def lines_behind(books: Books) -> list[Line]:
    """The lines of a window, by their order: what happened in it, and what is still here."""
    holds = books.window.holds
    return sorted(
        line
        for line in books.lines
        if not line.left
        or holds(line.left)
        or holds(line.arrived)
        or holds(line.first_sent)
        or holds(line.home)
    )


def table(books: Books) -> Table:
    """The lines of a window as a table."""
    return Table(KEY, NAME, MEANS, COLUMNS, LineRows(lines_behind(books)))
