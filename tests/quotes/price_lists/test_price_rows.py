"""Reading a list: each cell is read in one way only, each fault names its row and column. No database."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.price_lists.cells import CellError, Wrong, guarded, read_cell, unguarded, value_text
from quotes.price_lists.columns import LISTS
from quotes.price_lists.rows import Table, minutes_faults, read_table

PARTS = LISTS["parts"]
NUMBER, COST, PRICE = PARTS.column("number"), PARTS.column("unit_cost"), PARTS.column("list_price")


def table(heads, *rows):
    return Table(tuple(heads), tuple((number, tuple(row)) for number, row in enumerate(rows, start=2)))


def faults(heads, *rows, kind="parts"):
    read = read_table(table(heads, *rows), LISTS[kind], "USD")
    return [(fault.row, fault.column, fault.sentence) for fault in read.faults]


@pytest.mark.parametrize(
    ("cell", "column", "currency", "value"),
    [
        ("12,50", PRICE, "USD", D("12.50")),
        ("1 234.50", PRICE, "USD", D("1234.50")),
        ("$4", PRICE, "USD", D(4)),
        ("", PRICE, "USD", None),
        (D("12.5"), PRICE, "USD", D("12.5")),
        ("0.031", COST, "USD", D("0.031")),
        ("1,2340", COST, "USD", D("1.234")),
        ("3.4", COST, "JPY", D("3.4")),
        ("1234", PRICE, "JPY", D(1234)),
        ("1.500", PRICE, "KWD", D("1.5")),
        (D(1234), NUMBER, "USD", "1234"),
        ("12.5 %", LISTS["surcharges"].column("percent"), "USD", D("12.5")),
        ("Yes", PARTS.column("active"), "USD", True),
        (False, PARTS.column("active"), "USD", False),
        ("From a donor board", PARTS.column("condition"), "USD", "donor"),
        ("7", PARTS.column("reorder_at"), "USD", 7),
        (" a \n\n b ", LISTS["remedies"].column("steps"), "USD", ["a", "b"]),
    ],
)
def test_cell_is_read_as_what_is_meant(cell, column, currency, value):
    assert read_cell(cell, column, currency) == value


@pytest.mark.parametrize(
    ("cell", "column", "sentence"),
    [
        ("1.234", PRICE, "can be read in two ways"),
        ("1,200", COST, "can be read in two ways"),
        ("-4", PRICE, "cannot be below nought"),
        (D(-4), PRICE, "cannot be below nought"),
        (D("4.005"), PRICE, "2 digits after the point"),
        ("1e5", PRICE, "not an amount"),
        ("9999999", PRICE, "over 1,000,000"),
        (D("1e30"), PRICE, "over 1,000,000"),
        (True, PRICE, "not a number"),
        ("", COST, "Type a number"),
        ("", NUMBER, "cannot be empty"),
        ("x" * 31, NUMBER, "30 characters are the most"),
        ("maybe", PARTS.column("active"), "yes or no"),
        ("", PARTS.column("active"), "yes or no"),
        ("broken", PARTS.column("condition"), "new, used"),
        ("vat", PARTS.column("tax_kind"), "leave it empty"),
        ("2.5", PARTS.column("reorder_at"), "whole number"),
        ("٣", PARTS.column("reorder_at"), "whole number"),
        ("200000", PARTS.column("reorder_at"), "between 0 and 100000"),
        ("101", LISTS["surcharges"].column("percent"), "at most 100"),
        ("0", LISTS["surcharges"].column("percent"), "more than nought"),
        (Wrong("This is a formula."), PRICE, "formula"),
    ],
)
def test_cell_that_is_wrong_gets_a_sentence(cell, column, sentence):
    with pytest.raises(CellError, match=sentence):
        read_cell(cell, column, "USD")


@given(st.text(st.characters(blacklist_categories=["Cs"]), max_size=40))
def test_guarded_text_never_begins_with_a_sign_that_calculates_and_comes_back(text):
    assert guarded(text)[:1] not in set("=+-@\t\r\n＝＋－＠")
    assert unguarded(guarded(text)) == text


@given(
    st.decimals(0, 1_000_000, places=4),
    st.sampled_from(["USD", "JPY", "KWD"]),
    st.sampled_from([COST, PRICE]),
)
def test_amount_written_is_read_back_as_itself(amount, currency, column):
    if column is PRICE:
        amount = amount.quantize(D(1).scaleb(-{"USD": 2, "JPY": 0, "KWD": 3}[currency]))
    assert read_cell(value_text(amount, column, currency), column, currency) == amount


def test_unknown_missing_and_double_columns_are_named():
    assert faults(["Number", "Shoe size"], ["A-1", "44"])[0][:2] == (1, "Shoe size")
    assert "Known here: Number, Name" in faults(["Number", "Shoe size"], ["A-1", "44"])[0][2]
    assert faults(["Name"], ["Wire"]) == [(1, "Number", "The list needs the column Number.")]
    assert faults(["Number", "number"], ["A-1", "A-1"]) == [(1, "Number", "This column is there twice.")]
    assert "Column 2 has no head" in faults(["Number", ""], ["A-1", "4"])[0][2]
    assert "more cells than there are heads" in faults(["Number"], ["A-1", "4"])[0][2]
    assert faults(["Number"]) == [(1, "", "There is no row under the heads.")]


def test_double_number_is_named_with_both_rows():
    read = read_table(table(["Number", "Name"], ["A-1", "Wire"], ["B", "x"], ["a-1", "Wire"]), PARTS, "USD")
    assert [(f.row, f.column, f.sentence) for f in read.faults] == [
        (4, "Number", "a-1 stands in row 2 and in row 4.")
    ]
    assert [row.key for row in read.rows] == ["A-1", "B"]


def test_every_fault_of_a_row_is_told_and_the_others_are_read():
    read = read_table(
        table(["Number", "List price", "In use"], ["A", "x", "perhaps"], ["B", "4", "yes"]), PARTS, "USD"
    )
    assert [(fault.row, fault.column) for fault in read.faults] == [(2, "List price"), (2, "In use")]
    assert [row.values for row in read.rows] == [{"number": "B", "list_price": D(4), "active": True}]


@pytest.mark.parametrize(
    ("minutes", "low", "high", "wrong"),
    [
        (60, 40, 90, []),
        (60, None, None, []),
        (60, 60, 60, []),
        (60, 61, None, ["minutes_low"]),
        (60, None, 59, ["minutes_high"]),
        (60, 61, 59, ["minutes_low", "minutes_high"]),
        (None, 90, 40, ["minutes_low"]),
    ],
)
def test_low_standard_and_high_minutes_rise(minutes, low, high, wrong):
    assert [key for key, _ in minutes_faults(minutes, low, high)] == wrong
