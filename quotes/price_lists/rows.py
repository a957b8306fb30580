"""From a table of cells to rows of a list, with a sentence for each cell that is wrong. Pure: knows no database."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from quotes.price_lists.cells import Cell, CellError, Wrong, cell_text, read_cell
from quotes.price_lists.columns import Column, PriceList

MOST_ROWS = 5_000
HEAD_ROW = 1


@dataclass(frozen=True)
class Table:
    """What a file holds: the heads, and each row with its number in the file (the heads are row 1)."""

    heads: tuple[Cell, ...]
    rows: tuple[tuple[int, tuple[Cell, ...]], ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Fault:
    """What is wrong: the row in the file, the head of the column (empty: the whole row), and a sentence."""

    row: int
    column: str
    sentence: str


@dataclass(frozen=True)
class ListRow:
    """One row that can be read. `values` holds only the columns the file has."""

    number: int
    key: str
    values: dict[str, Any]


@dataclass
class ListRead:
    """All that was read, all that is wrong, and what is worth knowing."""

    rows: list[ListRow] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def read_table(table: Table, kind: PriceList, currency: str) -> ListRead:
    """Read every row; a row with a fault is in `faults` and not in `rows`."""
    read = ListRead(notes=list(table.notes))
    columns = _columns(table, kind, read)
    if read.faults:
        return read
    if not table.rows:
        read.faults.append(Fault(HEAD_ROW, "", "There is no row under the heads."))
    if any(column and column.kind == "not_read" for column in columns):
        read.notes.append("Pieces on hand are not read: they change only by moves in the stock.")
    seen: dict[str, int] = {}
    for number, cells in table.rows:
        _read_row(number, cells, columns, kind, currency, seen, read)
    return read


def minutes_faults(minutes: int | None, low: int | None, high: int | None) -> list[tuple[str, str]]:
    """What is wrong with low, standard and high minutes: (field, sentence). They rise, each but the standard may be empty."""
    found = []
    if minutes is not None and low is not None and low > minutes:
        found.append(("minutes_low", f"This is more than the {minutes} standard minutes."))
    if minutes is not None and high is not None and high < minutes:
        found.append(("minutes_high", f"This is less than the {minutes} standard minutes."))
    if minutes is None and low is not None and high is not None and low > high:
        found.append(("minutes_low", "This is more than the minutes of a stubborn one."))
    return found


def _columns(table: Table, kind: PriceList, read: ListRead) -> list[Column | None]:
    """The column of each place in a row; None for one without a head."""
    known = {_plain(name): column for column in kind.columns for name in (column.head, column.key)}
    found: list[Column | None] = []
    for place, head in enumerate(table.heads, start=1):
        name = "" if isinstance(head, Wrong) else " ".join(cell_text(head).split())
        column = known.get(_plain(name))
        if column is None and (name or _any_in(table, place - 1)):
            heads = ", ".join(column.head for column in kind.columns)
            what = f"There is no column {name[:60]!r}" if name else f"Column {place} has no head"
            read.faults.append(Fault(HEAD_ROW, name[:60], f"{what}. Known here: {heads}."))
        elif column is not None and column in found:
            read.faults.append(Fault(HEAD_ROW, column.head, "This column is there twice."))
        found.append(column)
    key = kind.column(kind.key_column)
    if key not in found:
        read.faults.append(Fault(HEAD_ROW, key.head, f"The list needs the column {key.head}."))
    return found


def _any_in(table: Table, place: int) -> bool:
    return any(len(cells) > place and cells[place] != "" for _, cells in table.rows)


def _plain(name: str) -> str:
    return name.replace("_", " ").casefold()


def _read_row(
    number: int,
    cells: Sequence[Cell],
    columns: Sequence[Column | None],
    kind: PriceList,
    currency: str,
    seen: dict[str, int],
    read: ListRead,
) -> None:
    if len(cells) > len(columns) and any(cell != "" for cell in cells[len(columns) :]):
        read.faults.append(Fault(number, "", "This row has more cells than there are heads."))
        return
    values, faults = {}, []
    for place, column in enumerate(columns):
        if column is None or column.kind == "not_read":
            continue
        try:
            values[column.key] = read_cell(cells[place] if place < len(cells) else "", column, currency)
        except CellError as fault:
            faults.append(Fault(number, column.head, str(fault)))
    key = str(values.get(kind.key_column, ""))
    if key:
        first = seen.setdefault(key.casefold(), number)
        if first != number:
            head = kind.column(kind.key_column).head
            faults.append(Fault(number, head, f"{key} stands in row {first} and in row {number}."))
    read.faults += faults
    if not faults:
        read.rows.append(ListRow(number, key, values))
