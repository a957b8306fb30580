"""CSV and XLSX files to tables of cells and back. Nothing in a file is ever calculated.

Limits: 2 MB a file, 5,000 rows, 40 columns, 20 MB unpacked. A formula is refused with a sentence, not read.
"""

import csv
import io
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date, time
from decimal import Decimal
from typing import Any

import openpyxl
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from intake.money import minor_units
from quotes.price_lists.cells import Cell, Wrong, guarded, shown_number, unguarded, value_text
from quotes.price_lists.columns import Column, PriceList
from quotes.price_lists.rows import MOST_ROWS, Table

MOST_BYTES = 2 * 1024 * 1024
MOST_UNPACKED = 20 * 1024 * 1024
MOST_PARTS = 200
MOST_COLUMNS = 40
MOST_LINES = 2 * MOST_ROWS  # blank ones among them
TOO_MANY = f"{MOST_ROWS} rows are the most in one file. Cut the list in two."
FORMULA = "This is a formula. Type the value itself."
NUMBERS = ("amount", "cost", "percent", "whole", "not_read")


class FileError(ValueError):
    """The file cannot be read; the message is a sentence to show beside the field."""


def suffix_of(content: bytes) -> str:
    """'.xlsx' or '.csv', by what the file is, whatever its name. Raises FileError."""
    if not content.strip():
        raise FileError("The file is empty.")
    if len(content) > MOST_BYTES:
        raise FileError("The file is over 2 MB. Cut the list in two.")
    if content.startswith(b"PK"):
        return ".xlsx"
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        raise FileError(
            "This is an old kind of spreadsheet, or one with a password. Save it as .xlsx or as CSV."
        )
    return ".csv"


def read_file(content: bytes) -> Table:
    """The table in a CSV or XLSX file. Raises FileError with a sentence."""
    return _xlsx_table(content) if suffix_of(content) == ".xlsx" else _csv_table(content)


def write_csv(kind: PriceList, rows: Sequence[Sequence[Any]], currency: str) -> bytes:
    """All rows as CSV in UTF-8 with a mark at the front, so that spreadsheets read the letters right."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([guarded(column.head) for column in kind.columns])
    for row in rows:
        writer.writerow(
            [_csv_text(value, column, currency) for value, column in zip(row, kind.columns, strict=True)]
        )
    return out.getvalue().encode("utf-8-sig")


def write_xlsx(kind: PriceList, rows: Sequence[Sequence[Any]], currency: str) -> bytes:
    """All rows as XLSX: numbers as numbers, text as text that stays text."""
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet(kind.name)
    sheet.freeze_panes = "B2"
    for place, column in enumerate(kind.columns, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = 34 if column.longest > 60 else 14
    sheet.append([_text_cell(sheet, column.head, bold=True) for column in kind.columns])
    for row in rows:
        sheet.append(
            [
                _xlsx_cell(sheet, value, column, currency)
                for value, column in zip(row, kind.columns, strict=True)
            ]
        )
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _csv_text(value: Any, column: Column, currency: str) -> str:
    text = value_text(value, column, currency)
    return text if column.kind in NUMBERS else guarded(text)


def _text_cell(sheet: Any, text: str, *, bold: bool = False) -> Any:
    cell = WriteOnlyCell(sheet, value=text)
    cell.data_type = "s"  # the library takes a leading = for a formula
    if text[:1] and text[0] in "=+-@":
        cell.quotePrefix = True
    if bold:
        cell.font = Font(bold=True)
    return cell


def _xlsx_cell(sheet: Any, value: Any, column: Column, currency: str) -> Any:
    if value is None or value == "":
        return None
    if column.kind not in NUMBERS:
        return _text_cell(sheet, value_text(value, column, currency))
    cell = WriteOnlyCell(
        sheet, value=shown_number(value, column, currency) if isinstance(value, Decimal) else value
    )
    if column.kind in ("amount", "cost"):
        digits = minor_units(currency)
        cell.number_format = "0" + ("." + "0" * digits if digits else "")
        if column.kind == "cost":
            cell.number_format = "0.00##"
    return cell


def _csv_table(content: bytes) -> Table:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise FileError("This file is not UTF-8. Save it as CSV UTF-8, or as .xlsx.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise FileError("This file is not UTF-8. Save it as CSV UTF-8, or as .xlsx.") from fault
    if "\x00" in text:
        raise FileError("This is not a CSV file. Save the list as CSV UTF-8, or as .xlsx.")
    first = text.lstrip("\r\n").partition("\n")[0]
    sign = max(",;\t", key=first.count)
    try:
        lines = list(_csv_lines(text, sign))
    except csv.Error as fault:
        raise FileError(
            f"The CSV cannot be read: a quotation mark is missing or misplaced ({fault})."
        ) from fault
    return _table(lines)


def _csv_lines(text: str, sign: str) -> Iterator[tuple[int, tuple[Cell, ...]]]:
    """Rows are counted as a spreadsheet counts them, whatever line breaks stand inside cells."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True)
    for number, row in enumerate(reader, start=1):
        if len(row) > MOST_COLUMNS and any(row[MOST_COLUMNS:]):
            raise FileError(f"Row {number} has more than {MOST_COLUMNS} columns.")
        if number > MOST_LINES:
            raise FileError(TOO_MANY)
        yield number, tuple(_csv_cell(cell.strip(" ")) for cell in row)


def _csv_cell(text: str) -> Cell:
    return Wrong(FORMULA) if text.startswith("=") else unguarded(text)


def _xlsx_table(content: bytes) -> Table:
    _check_package(content)
    try:
        with warnings.catch_warnings():
            # What the library does not keep, such as drop-down lists, is of no matter here.
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
            sheets = book.worksheets
            if not sheets:
                raise FileError("There is no sheet in this file.")
            lines = list(_sheet_lines(sheets[0]))
    except FileError:
        raise
    except Exception as fault:
        # The library raises whatever its parts raise on a broken file; none of it is more than a broken file here.
        raise FileError("This spreadsheet is broken and cannot be read. Save it again, or as CSV.") from fault
    notes = ("Only the first sheet of the file is read.",) if len(sheets) > 1 else ()
    return _table(lines, notes)


def _check_package(content: bytes) -> None:
    """Refuses what unpacks to too much, and XML that defines things of its own."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            parts = package.infolist()
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
                raise FileError("This spreadsheet is too large when it is unpacked.")
            if "[Content_Types].xml" not in package.namelist():
                raise FileError(
                    "This is a packed file, but no spreadsheet. Save the list as .xlsx or as CSV."
                )
            for part in parts:
                # A part yields no more than the size it declares, so the sum above holds.
                data = package.read(part)
                if b"<!DOCTYPE" in data or b"<!ENTITY" in data or data[:2] in (b"\xff\xfe", b"\xfe\xff"):
                    raise FileError("This spreadsheet holds what no spreadsheet needs. It is not read.")
    except FileError:
        raise
    except Exception as fault:
        raise FileError("This spreadsheet is broken and cannot be read. Save it again, or as CSV.") from fault


def _sheet_lines(sheet: Any) -> Iterator[tuple[int, tuple[Cell, ...]]]:
    # The size a sheet claims for itself may be missing or wrong, so it is not asked.
    sheet.reset_dimensions()
    cells = sheet.iter_rows(max_row=MOST_LINES + 1, max_col=MOST_COLUMNS + 1)
    for number, row in enumerate(cells, start=1):
        if number > MOST_LINES:
            raise FileError(TOO_MANY)
        if len(row) > MOST_COLUMNS and row[MOST_COLUMNS].value not in (None, ""):
            raise FileError(f"Row {number} has more than {MOST_COLUMNS} columns.")
        yield number, tuple(_cell(cell) for cell in row[:MOST_COLUMNS])


def _cell(cell: Any) -> Cell:
    value, kind = cell.value, cell.data_type
    if value is None:
        return ""
    if kind == "f":
        return Wrong(FORMULA)
    if kind == "e":
        return Wrong("The spreadsheet shows an error here.")
    if isinstance(value, bool | str):
        return value.strip(" ") if isinstance(value, str) else value
    if isinstance(value, date | time):
        return Wrong("The spreadsheet made a date of this. Set the cell to text and type it again.")
    if isinstance(value, int):
        return Decimal(value)
    if isinstance(value, float):
        # The file holds the shortest text of the number; repr gives that text back.
        return Decimal(repr(value))
    return Wrong("This cell cannot be read. Set it to text and type it again.")


def _table(lines: Sequence[tuple[int, tuple[Cell, ...]]], notes: tuple[str, ...] = ()) -> Table:
    filled = [(number, row) for number, row in lines if any(cell != "" for cell in row)]
    if not filled:
        raise FileError("The file is empty.")
    if len(filled) > MOST_ROWS + 1:
        raise FileError(TOO_MANY)
    return Table(_trimmed(filled[0][1]), tuple((number, _trimmed(row)) for number, row in filled[1:]), notes)


def _trimmed(row: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """Without the empty cells at the end, which a spreadsheet adds."""
    full = len(row)
    while full and row[full - 1] == "":
        full -= 1
    return row[:full]
