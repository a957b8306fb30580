"""Tables as files: what a spreadsheet reads back is what was counted, and never a formula."""

import csv
import datetime as dt
import io
from collections.abc import Sequence
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from openpyxl import load_workbook

from shop.books import as_json, line_table, table_files
from shop.books.figures import Cell, Column, Figure, Table
from shop.books.lines import Books, House, Line, Window
from shop.books.plain_cells import Names, as_text

NOW = int(dt.datetime(2026, 2, 27, 18, tzinfo=dt.UTC).timestamp())
HOUSE = House("USD", 2, ZoneInfo("Europe/Berlin"), 7_000)
BOOKS = Books(HOUSE, NOW, Window("week", "Last 7 days", NOW - 7 * 86_400, NOW + 1), ())
NASTY = [
    "=cmd()",
    "+1",
    "-1",
    "@x",
    "\t=1",
    "\r=1",
    "\n=1",
    'a "quoted", one',
    "two\nlines",
    "Łukasz; 電話",
    "'said",
    "|x",
    "%x",
]
TABLE = Table(
    "some-table", "Some table", "A row is a thing.",
    (
        Column("word", "Word", "text"), Column("order", "Order", "order"), Column("customer", "Customer", "customer"),
        Column("day", "Due", "day"), Column("left", "Left", "moment"), Column("cash", "Cash margin", "money"),
        Column("share", "Share kept", "share"), Column("wait", "Waited", "seconds"), Column("n", "Orders", "orders"),
    ),
    [
        *((word, number, number, 739_674, NOW, -545, 0.7777777777777778, -1, 7) for number, word in enumerate(NASTY, start=1)),
        (None, 0, 0, 0, 0, None, None, 3_600, 0),
    ],
)  # fmt: skip


def _naming(table: Table, rows: Sequence[Sequence[Cell]]) -> Names:
    return Names({pk: f"TR-{pk:06d}" for pk in range(1, 99)}, {1: "=Mara", 2: "Ellwick, Mara"}, {})


def _csv(table: Table = TABLE) -> list[list[str]]:
    text = "".join(table_files.as_csv(table, BOOKS, _naming))
    assert text.startswith("\ufeff")
    return list(csv.reader(io.StringIO(text[1:], newline="")))


def test_csv_reads_back_as_it_was_counted() -> None:
    head, *rows = _csv()
    assert head == [
        "Word", "Order", "Customer", "Due", "Left", "Cash margin (USD)", "Share kept (0 to 1)", "Waited (seconds)", "Orders",
    ]  # fmt: skip
    assert len(rows) == len(NASTY) + 1
    assert rows[7] == [
        'a "quoted", one', "TR-000008", "8", "2026-02-27", "2026-02-27T19:00:00+01:00", "-5.45", "0.7777777777777778", "", "7",
    ]  # fmt: skip
    assert rows[8][0] == "two\nlines"
    assert rows[1][2] == "Ellwick, Mara"
    assert rows[-1] == ["", "", "", "", "", "", "", "3600", "0"]


def test_csv_holds_no_formula_and_leaves_numbers_numbers() -> None:
    _, *rows = _csv()
    words = [row[0] for row in rows]
    for nasty in ("=cmd()", "+1", "-1", "@x", "\t=1", "\r=1", "\n=1", "|x", "%x"):
        assert f"'{nasty}" in words
        assert nasty not in words
    assert rows[0][2] == "'=Mara"
    assert {Decimal(row[5]) for row in rows[:-1]} == {Decimal("-5.45")}


def test_xlsx_reads_back_with_text_as_text_and_amounts_as_numbers() -> None:
    with table_files.as_xlsx(TABLE, BOOKS, _naming) as file:
        book = load_workbook(file)
    sheet, about = book["Table"], book["About"]
    for number, nasty in enumerate(NASTY, start=2):
        cell = sheet.cell(number, 1)
        assert cell.data_type == "s", nasty
        assert str(cell.value).replace("\r\n", "\n") == nasty.replace("\r", "\n") or nasty[0] in "\t\r\n"
    assert sheet["C2"].value == "=Mara" and sheet["C2"].data_type == "s"
    assert sheet["D2"].value == dt.datetime(2026, 2, 27) and sheet["D2"].number_format == "yyyy-mm-dd"
    assert (
        sheet["F2"].value == -5.45
        and sheet["F2"].data_type == "n"
        and sheet["F2"].number_format == "#,##0.00"
    )
    assert sheet["G2"].value == pytest.approx(7 / 9) and sheet["I2"].value == 7
    said = {row[0].value: row[1].value for row in about.iter_rows()}
    assert said["What a row is"] == "A row is a thing."
    assert said["As of"] == "2026-02-27T19:00:00+01:00"
    assert str(said["Period"]).startswith("Last 7 days, 2026-02-20T19:00:00+01:00 to ")
    assert said["Column Cash margin (USD)"].startswith("an amount")


def test_words_beside_a_csv_explain_each_column() -> None:
    words = table_files.as_words(TABLE, BOOKS)
    assert words.startswith("Table: Some table\r\n")
    assert words.count("\r\nColumn ") == len(TABLE.columns)
    assert "Column Waited (seconds): a span in whole seconds; empty for never\r\n" in words


def test_rows_stream_in_portions_and_names_are_asked_by_portion() -> None:
    asked: list[int] = []

    def naming(table: Table, rows: Sequence[Sequence[Cell]]) -> Names:
        asked.append(len(rows))
        return Names({}, {}, {})

    lines = tuple(Line(number, arrived=NOW - 5, family="Zarnik Z7") for number in range(1, 5_001))
    books = Books(HOUSE, NOW, BOOKS.window, lines)
    pieces = table_files.as_csv(line_table.table(books), books, naming)
    head, first = next(pieces), next(pieces)
    assert head.count("\r\n") == 1 and first.count("\r\n") == table_files.AT_ONCE
    assert asked == [table_files.AT_ONCE]
    assert len(list(pieces)) == 4
    assert asked == [1_000] * 5


def test_lines_of_a_window_leave_others_out() -> None:
    old = NOW - 90 * 86_400
    lines = (
        Line(1, arrived=old), Line(2, arrived=old, left=NOW - 9), Line(3, arrived=old, left=old + 9),
        Line(4, arrived=old, left=old + 9, home=NOW - 5), Line(5, arrived=old, first_sent=NOW - 8, left=NOW - 20 * 86_400),
    )  # fmt: skip
    table = line_table.table(Books(HOUSE, NOW, BOOKS.window, lines))
    assert [row[0] for row in table.rows] == [1, 2, 4, 5]
    assert len(table.rows) == 4 and [row[0] for row in table.rows[1:3]] == [2, 4]


def test_every_field_of_a_line_is_a_column() -> None:
    line = Line(7, trade=True, at20=3_600, customer=4)
    (row,) = line_table.LineRows([line])
    by_key = {column.key: cell for column, cell in zip(line_table.COLUMNS, row, strict=True)}
    assert set(Line._fields) <= set(by_key)
    assert by_key["trade"] == "yes" and by_key["at20"] == 3_600 and by_key["customer_number"] == 4
    names = [column.name for column in line_table.COLUMNS]
    assert len(set(names)) == len(names)


def test_json_says_money_in_words_and_counts_as_numbers() -> None:
    figure = Figure(
        "margin-cash", "Cash margin", 86_185, "money", 12, "Billed less costs.", "Apart.", before=-545, before_n=3, always=True
    )  # fmt: skip
    said = as_json.figures([figure], BOOKS)
    (one,) = said["figures"]
    assert (one["value"], one["before"], one["n"], one["few"]) == ("861.85", "-5.45", 12, False)
    assert said["currency"] == "USD" and said["period"]["key"] == "week"
    assert said["as_of"] == "2026-02-27T19:00:00+01:00"
    rows = [row for block in table_files.plain_rows(TABLE, BOOKS, _naming) for row in block]
    table = as_json.table(TABLE, rows, BOOKS)
    assert table["rows"][0] == {
        "word": "=cmd()", "order": "TR-000001", "customer": "=Mara", "day": "2026-02-27", "left": "2026-02-27T19:00:00+01:00",
        "cash": "-5.45", "share": 0.7777777777777778, "wait": None, "n": 7,
    }  # fmt: skip
    assert as_text(None) == ""
