"""Files in and out. Outside check: the csv module of Python and openpyxl read back what was written."""

import csv
import datetime as dt
import io
import zipfile
from decimal import Decimal as D

import openpyxl
import pytest

from quotes.price_lists import files
from quotes.price_lists.cells import Wrong
from quotes.price_lists.columns import LISTS
from quotes.price_lists.files import FileError, read_file, write_csv, write_xlsx

SURCHARGES = LISTS["surcharges"]
ROWS = [
    ["=1+1", "+49 rush", "rush", D("35.000"), None, False, True],
    ["-5V rail", "@home\nsoon", "fee", None, D("12.500"), True, False],
    ["'=kept", "", "fee", D("0.500"), None, False, True],
]


def xlsx(*rows, change=None):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    if change:
        change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_csv_is_what_the_csv_module_reads_and_no_cell_evaluates():
    content = write_csv(SURCHARGES, ROWS, "USD")
    assert content.startswith(b"\xef\xbb\xbf")
    read = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
    assert read[0][:3] == ["Name", "As the customer reads it", "Kind"]
    assert read[1] == ["'=1+1", "'+49 rush", "rush", "35.00", "", "no", "yes"]
    assert [row[0] for row in read[2:]] == ["'-5V rail", "''=kept"]
    assert not any(cell[:1] in set("=+-@") for row in read for cell in row if cell)


def test_xlsx_is_what_openpyxl_reads_and_text_stays_text():
    book = openpyxl.load_workbook(io.BytesIO(write_xlsx(SURCHARGES, ROWS, "USD")))
    sheet = book.worksheets[0]
    assert [cell.value for cell in sheet[2]] == ["=1+1", "+49 rush", "rush", 35, None, "no", "yes"]
    assert (sheet["A2"].data_type, sheet["D2"].data_type, sheet["D2"].number_format) == ("s", "n", "0.00")
    assert (sheet["A2"].quotePrefix, sheet["A2"].font.bold, sheet["A1"].font.bold) == (True, False, True)


@pytest.mark.parametrize("write", [write_csv, write_xlsx])
def test_text_comes_back_as_it_was(write):
    table = read_file(write(SURCHARGES, ROWS, "USD"))
    assert table.heads == tuple(column.head for column in SURCHARGES.columns)
    assert [row[0] for _, row in table.rows] == ["=1+1", "-5V rail", "'=kept"]
    assert [number for number, _ in table.rows] == [2, 3, 4]


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_csv_of_any_spreadsheet_is_read_by_the_sign_in_its_heads(sign):
    lines = [["Number", "Name", "List price"], ["A-1", "Wire", "4.50"]]
    table = read_file("\r\n".join(sign.join(line) for line in lines).encode())
    assert (table.heads, table.rows) == (("Number", "Name", "List price"), ((2, ("A-1", "Wire", "4.50")),))


def test_blank_rows_keep_the_numbers_of_the_others():
    assert [number for number, _ in read_file(b"Number\n\n\nA-1\n,\nA-2\n").rows] == [4, 6]
    assert [number for number, _ in read_file(xlsx(["Number"], [], ["A-1"], [], ["A-2"])).rows] == [3, 5]


def test_formula_error_and_date_in_a_cell_are_refused_not_read():
    def dated(book):
        book.active["D2"] = dt.date(2026, 2, 1)
        book.active["C2"].data_type = "e"

    content = xlsx(["Number", "Cost", "Name", "Bin"], ["A-1", "=1+1", "#N/A", "x"], change=dated)
    (_, row), *_ = read_file(content).rows
    assert [isinstance(cell, Wrong) for cell in row] == [False, True, True, True]
    assert "formula" in row[1].sentence and "error" in row[2].sentence and "date" in row[3].sentence
    (_, row), *_ = read_file(b"Number,Cost\nA-1,=1+1\n").rows
    assert isinstance(row[1], Wrong)


def test_number_in_a_spreadsheet_is_exact():
    (_, row), *_ = read_file(xlsx(["Number", "Cost"], [1234, 0.1])).rows
    assert row == (D(1234), D("0.1"))


def test_only_the_first_sheet_is_read_and_that_is_said():
    table = read_file(xlsx(["Number"], ["A-1"], change=lambda book: book.create_sheet("More")))
    assert table.notes == ("Only the first sheet of the file is read.",)


def packed(**parts):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr(name.replace("__", "/").replace("_xml", ".xml"), data)
    return out.getvalue()


TYPES = "[Content_Types].xml"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "empty"),
        (b"  \r\n", "empty"),
        (b",,\n,,\n", "empty"),
        (b"x" * (files.MOST_BYTES + 1), "over 2 MB"),
        (b"PK\x03\x04 broken", "broken"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "old kind of spreadsheet"),
        ("Number,Name\nA,Ö".encode("latin-1"), "not UTF-8"),
        ("Number\nA".encode("utf-16"), "not UTF-8"),
        (b"Number\x00\nA", "not a CSV"),
        (b'Number,Name\nA,"x"y\n', "quotation mark"),
        (packed(word__document_xml="<a/>"), "no spreadsheet"),
        (packed(**{TYPES: "<Types/>", "xl__big_xml": b"0" * (files.MOST_UNPACKED + 1)}), "too large"),
        (packed(**{TYPES: "<Types/>", **{f"p{n}": "x" for n in range(201)}}), "too large"),
        (packed(**{TYPES: '<!DOCTYPE a [<!ENTITY b "c">]><a/>'}), "no spreadsheet needs"),
        (packed(**{TYPES: "<Types/>"}), "broken"),
        (b"Number\n" + b"A\n" * (files.MOST_ROWS + 1), "5000 rows are the most"),
        (b"Number\n" + b"\n" * files.MOST_LINES + b"A\n", "5000 rows are the most"),
        (b"Number\n" + b"," * 41 + b"A\n", "more than 40 columns"),
        (xlsx([*["x"] * 41], ["A"]), "more than 40 columns"),
    ],
)
def test_file_that_cannot_be_read_gets_a_sentence(content, sentence):
    with pytest.raises(FileError, match=sentence):
        read_file(content)


def test_row_far_below_is_not_waited_for():
    """A sheet can claim a cell in its last row and last column; the rows between are not made."""

    def far(book):
        book.active["XFD1048576"] = "x"

    with pytest.raises(FileError, match="5000 rows are the most"):
        read_file(xlsx(["Number"], ["A-1"], change=far))
