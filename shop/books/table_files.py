"""A table of the books as a file: CSV row by row, a workbook, and the words that explain both.

Text is only ever text there: no cell can become a formula.
"""

import csv
import re
import tempfile
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from decimal import Decimal
from itertools import islice
from typing import IO, Any

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

from shop.books.figures import Cell, Table
from shop.books.formula_safe import harmless
from shop.books.lines import Books, House
from shop.books.plain_cells import Names, Plain, as_text, head_of, plain

AT_ONCE = 1_000
IN_MEMORY_BYTES = 2_000_000
# What XML 1.0 cannot hold; openpyxl refuses a cell with it.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
Naming = Callable[[Table, Sequence[Sequence[Cell]]], Names]


class _Row:
    """A file that hands back each row as it is written."""

    def write(self, text: str) -> str:
        return text


def plain_rows(table: Table, books: Books, naming: Naming) -> Iterator[list[list[Plain]]]:
    """The rows in plain values, AT_ONCE at a time, so that names are looked up together; sums are no rows."""
    rows = iter(table.rows)
    while block := list(islice(rows, AT_ONCE)):
        names = naming(table, block)
        yield [
            [
                plain(cell, column.kind, house=books.house, names=names)
                for cell, column in zip(row, table.columns, strict=True)
            ]
            for row in block
        ]


def as_csv(table: Table, books: Books, naming: Naming) -> Iterator[str]:
    """Comma separated: a row of heads, then the rows. Amounts with a point at the currency's digits, days as ISO 8601."""
    writer = csv.writer(_Row(), lineterminator="\r\n")
    heads = [harmless(head_of(column, books.house)) for column in table.columns]
    yield "\ufeff" + str(writer.writerow(heads))
    for block in plain_rows(table, books, naming):
        yield "".join(str(writer.writerow([_in_csv(cell) for cell in row])) for row in block)


def _in_csv(cell: Plain) -> str:
    return harmless(cell) if isinstance(cell, str) else as_text(cell)


def as_xlsx(table: Table, books: Books, naming: Naming) -> IO[bytes]:
    """A workbook, rewound: the table, and on a sheet of its own what it is. Amounts are numbers, days are days."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Table")
    sheet.freeze_panes = "A2"
    sheet.append([_cell(sheet, head_of(column, books.house), books.house, "") for column in table.columns])
    kinds = [column.kind for column in table.columns]
    for block in plain_rows(table, books, naming):
        for row in block:
            sheet.append(
                [_cell(sheet, cell, books.house, kind) for cell, kind in zip(row, kinds, strict=True)]
            )
    about = book.create_sheet("About")
    for name, text in about_lines(table, books):
        about.append([_cell(about, name, books.house, ""), _cell(about, text, books.house, "")])
    file = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY_BYTES)  # noqa: SIM115 -- the answer closes it
    book.save(file)
    file.seek(0)
    return file


def _cell(sheet: Any, value: Plain, house: House, kind: str) -> Any:
    if isinstance(value, str):
        cell = WriteOnlyCell(sheet, value=_CONTROL.sub(" ", value))
        cell.data_type = "s"
        return cell
    cell = WriteOnlyCell(sheet, value=value)
    if isinstance(value, Decimal):
        cell.number_format = "#,##0" + (f".{'0' * house.digits}" if house.digits else "")
    elif isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"
    elif kind == "share":
        cell.number_format = "0.0%"
    return cell


def about_lines(table: Table, books: Books) -> list[tuple[str, str]]:
    """What a table is, for which period and moment: (word, text), then a line for each column."""
    house, window = books.house, books.window
    since = _moment(window.since, house) if window.since > 1 else "the beginning"
    return [
        ("Table", table.name),
        ("What a row is", table.means),
        ("As of", _moment(books.now, house)),
        ("Period", f"{window.words}, {since} to {_moment(window.until - 1, house)}"),
        ("Currency", house.currency),
        ("Time zone", house.zone.key),
        *((f"Column {head_of(column, house)}", _kind_words(column.kind)) for column in table.columns),
    ]


def _moment(moment: int, house: House) -> str:
    return as_text(plain(moment, "moment", house=house, names=Names({}, {}, {})))


def as_words(table: Table, books: Books) -> str:
    """The same as plain text, to lie beside a CSV file, whose first row is its heads."""
    return "".join(f"{name}: {text}\r\n" for name, text in about_lines(table, books))


def _kind_words(kind: str) -> str:
    return {
        "money": "an amount in the currency, with a point before the decimals",
        "money an hour": "an amount for an hour",
        "order": "an order's code",
        "customer": "a customer's name",
        "person": "the name of who works here",
        "day": "a day, ISO 8601, in the shop's time zone; empty for none",
        "moment": "a moment, ISO 8601 with the offset of the shop's time zone; empty for never",
        "seconds": "a span in whole seconds; empty for never",
        "share": "a share between 0 and 1",
        "text": "text",
    }.get(kind, "a number" if kind in ("count", "kappa", "ratio") else kind)
