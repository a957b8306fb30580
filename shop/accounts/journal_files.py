"""The journal as files for spreadsheets. Text is only ever text there: no cell can become a formula."""

import csv
import datetime as dt
import re
import tempfile
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import IO, Any

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

from intake.money import minor_units, smallest
from shop.accounts.journal_rows import HEAD, Row, Sums
from shop.books.formula_safe import harmless

# What XML 1.0 cannot hold; openpyxl refuses a cell with it.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
IN_MEMORY_BYTES = 2_000_000
Cells = list[str | int | Decimal | dt.date | None]


class _Line:
    """A file that hands back each line as it is written."""

    def write(self, text: str) -> str:
        return text


def as_csv(rows: Iterable[Row]) -> Iterator[str]:
    """Comma separated, line by line, amounts with a point at the currency's own digits."""
    writer = csv.writer(_Line(), lineterminator="\r\n")
    yield "\ufeff" + str(writer.writerow(HEAD))
    for row in rows:
        yield str(writer.writerow([_plain(cell) for cell in _cells(row)]))


def _plain(cell: str | int | Decimal | dt.date | None) -> str | int | Decimal:
    if cell is None:
        return ""
    if isinstance(cell, dt.date):
        return cell.isoformat()
    return harmless(cell) if isinstance(cell, str) else cell


def _cells(row: Row) -> Cells:
    return [
        row.entry, row.day, row.time, row.what, row.text, row.document, row.order, row.account, row.kind,
        _exact(row.debit, row.currency), _exact(row.credit, row.currency), row.currency, row.by,
    ]  # fmt: skip


def _exact(amount: Decimal | None, currency: str) -> Decimal | None:
    """At the currency's digits; more are kept where the books have them."""
    if amount is None:
        return None
    exact = amount.quantize(smallest(currency))
    return exact if exact == amount else amount


def as_xlsx(rows: Iterable[Row], sums: Iterable[Sums]) -> IO[bytes]:
    """A workbook, rewound: the journal, and the sums of each account on a sheet of their own. Amounts are numbers."""
    book = Workbook(write_only=True)
    journal = book.create_sheet("Journal")
    journal.freeze_panes = "A2"
    journal.append([_cell(journal, name) for name in HEAD])
    for row in rows:
        journal.append([_cell(journal, cell, row.currency) for cell in _cells(row)])
    sheet = book.create_sheet("Sums")
    sheet.append(
        [_cell(sheet, name) for name in ("account", "kind", "debit", "credit", "balance", "currency")]
    )
    for group in sums:
        for line in (*group.rows, group.total):
            cells: Cells = [line.account, line.kind, line.debit, line.credit, line.balance, group.currency]
            sheet.append([_cell(sheet, cell, group.currency) for cell in cells])
    file = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY_BYTES)  # noqa: SIM115 -- the answer closes it
    book.save(file)
    file.seek(0)
    return file


def _cell(sheet: Any, value: str | int | Decimal | dt.date | None, currency: str = "") -> Any:
    if isinstance(value, str):
        cell = WriteOnlyCell(sheet, value=_CONTROL.sub(" ", value))
        cell.data_type = "s"
        return cell
    cell = WriteOnlyCell(sheet, value=value)
    if isinstance(value, Decimal):
        digits = minor_units(currency)
        cell.number_format = "#,##0" + (f".{'0' * digits}" if digits else "")
    elif isinstance(value, dt.date):
        cell.number_format = "yyyy-mm-dd"
    return cell
