"""A bank's CSV: understood where it can be, asked about where it cannot, and never half taken in."""

import csv
import io
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.bank import csv_rows, csv_words
from quotes.bank.csv_columns import Layout, recognise
from quotes.bank.csv_rows import NeedsLayout
from quotes.bank.movements import LARGEST_FILE, Movement, Statement, Unreadable, keys

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "bank"


def read(text: str, layout: Layout | None = None, currency: str = "USD") -> Statement:
    return csv_rows.read(text.encode(), currency=currency, layout=layout)


def faults(text: str, layout: Layout | None = None, currency: str = "USD") -> tuple[str, ...]:
    with pytest.raises(Unreadable) as fault:
        read(text, layout, currency)
    return fault.value.sentences


def test_semicolons_decimal_comma_lines_before_the_header_and_an_old_coding() -> None:
    statement = csv_rows.read((FOLDER / "semicolons.csv").read_bytes(), currency="USD")
    assert statement.movements == (
        Movement(date(2026, 2, 5), Decimal("112.32"), "Mara Ellwick", "", "RF18 5390 0754 7034"),
        Movement(date(2026, 2, 5), Decimal("1080.00"), "Bertil Okané", "", "Repair INV-00012"),
        Movement(date(2026, 2, 6), Decimal("-28.02"), "Solder and Sons", "", "Flux"),
    )
    assert (statement.opening, statement.closing) == (Decimal("1000.00"), Decimal("2164.30"))


def test_columns_for_in_and_out_month_first_and_equal_movements_told_apart() -> None:
    statement = csv_rows.read((FOLDER / "in_and_out.csv").read_bytes(), currency="USD")
    assert [row.amount for row in statement.movements] == [
        Decimal("112.32"),
        Decimal("-28.02"),
        Decimal("-28.02"),
    ]
    assert statement.movements[0].day == date(2026, 2, 13)
    assert len(set(keys(statement.movements))) == 3
    assert "no balances" in statement.notes[0]


def test_equal_movements_without_a_number_are_counted_and_keep_their_keys_in_a_longer_file() -> None:
    short = read("Date,Amount,Name\n2026-02-05,5.00,A\n2026-02-05,5.00,A\n")
    long = read(
        "Date,Amount,Name\n2026-02-04,9.00,B\n2026-02-05,5.00,A\n2026-02-05,5.00,A\n2026-02-05,5.00,A\n"
    )
    assert len(set(keys(short.movements))) == 2
    assert set(keys(short.movements)) < set(keys(long.movements))


def test_newest_first_balances_prove_too_and_a_gap_is_said() -> None:
    held = "Date,Amount,Balance\n2026-02-06,-2.00,8.00\n2026-02-05,10.00,10.00\n"
    assert (read(held).opening, read(held).closing) == (Decimal(0), Decimal("8.00"))
    gap = read(held.replace("8.00", "7.00"))
    assert gap.opening is None
    assert "A movement may be missing" in gap.notes[0]


@pytest.mark.parametrize(
    ("cell", "decimal", "amount"),
    [
        ("1.234,56", ",", "1234.56"), ("1,234.56", ".", "1234.56"), ("1 234,5", ",", "1234.50"), ("(12.00)", ".", "-12.00"),
        ("12.00-", ".", "-12.00"), ("12.50 DR", ".", "-12.50"), ("12.50 CR", ".", "12.50"), ("+3", ".", "3.00"),
        ("-0.01", ".", "-0.01"), ("USD 5.00", ".", "5.00"), ("5,00 EUR", ",", "5.00"), ("1'234.50", ".", "1234.50"),
        ("5.000", ".", "5.00"), ("-5.00-", ".", "5.00"), ("7,50 S", ",", "-7.50"), ("7,50 H", ",", "7.50"),
    ],
)  # fmt: skip
def test_amount_as_banks_write_it(cell: str, decimal: str, amount: str) -> None:
    assert csv_words.amount_of(cell, decimal, "USD") == Decimal(amount)


@pytest.mark.parametrize(
    "cell",
    ["", "abc", "1.2.3", "1,23,456", "12.345", "=1+2", "1e5", "٣", "NaN", "--", "1234567890123"],
)
def test_cell_that_is_no_amount(cell: str) -> None:
    assert csv_words.amount_of(cell, ".", "USD") is None


@pytest.mark.parametrize(
    ("cell", "order", "day"),
    [
        ("2026-02-05", "", "2026-02-05"), ("20260205", "", "2026-02-05"), ("5.2.2026", "dmy", "2026-02-05"),
        ("05/02/26", "dmy", "2026-02-05"), ("05/02/2026", "mdy", "2026-05-02"), ("5 Feb 2026", "", "2026-02-05"),
        ("05-FEB-26", "", "2026-02-05"), ("2026-02-05 14:20:11", "", "2026-02-05"), ("2026/2/5", "", "2026-02-05"),
        ("5 February 2026", "", "2026-02-05"),
    ],
)  # fmt: skip
def test_day_as_banks_write_it(cell: str, order: str, day: str) -> None:
    assert csv_words.day_of(cell, order) == date.fromisoformat(day)


@pytest.mark.parametrize("cell", ["", "yesterday", "31/02/2026", "2026-13-01", "5 Foo 2026", "45000"])
def test_cell_that_is_no_day(cell: str) -> None:
    assert csv_words.day_of(cell, "dmy") is None


def test_styles_that_could_be_two_things_are_asked_and_then_kept() -> None:
    text = "Date,Amount,Payer\n03/04/2026,1.00,A\n04/03/2026,2.00,B\n"
    with pytest.raises(NeedsLayout, match="March or in April"):
        read(text)
    assert read(text, Layout(order="mdy")).movements[0].day == date(2026, 3, 4)
    sums = "Date;Amount\n2026-04-03;1,234\n"
    with pytest.raises(NeedsLayout, match="two different sums"):
        read(sums)
    assert read(sums, Layout(decimal=".")).movements[0].amount == Decimal(1234)
    assert "no amount in USD" in faults(sums, Layout(decimal=","))[1]


def test_one_day_beyond_twelve_settles_the_order_of_all() -> None:
    assert read("Date,Amount\n03/04/2026,1.00\n25/04/2026,2.00\n").movements[0].day == date(2026, 4, 3)


def test_columns_nobody_knows_are_asked_for_and_taken_as_said() -> None:
    text = "when;wer;wieviel\n2026-02-05;Mara Ellwick;12,50\n"
    with pytest.raises(NeedsLayout) as need:
        read(text)
    assert list(need.value.header) == ["when", "wer", "wieviel"]
    assert list(need.value.sample[0]) == ["2026-02-05", "Mara Ellwick", "12,50"]
    said = read(text, Layout({"day": 0, "name": 1, "amount": 2}))
    assert said.movements == (Movement(date(2026, 2, 5), Decimal("12.50"), "Mara Ellwick"),)


def test_better_spelling_wins_where_two_columns_offer() -> None:
    assert recognise(["Value date", "Booking date", "Amount (USD)"]) == {"day": 1, "amount": 2}


def test_every_row_with_a_fault_is_named_and_nothing_is_taken() -> None:
    said = faults(
        "Date,Amount,Payer,Currency\n2026-02-05,x,A,USD\n2026-02-30,1.00,A,USD\n2026-02-05,1.00,A,EUR\n"
        '2026-02-05,1.00,"=HYPERLINK(""http://example.com"")",USD\n2026-02-05,1.00,@SUM(A1),USD\n,1.00,A,USD\n'
        "2026-02-05,,A,USD\n2026-02-05,1.00,A,USD\n"
    )
    assert said[0] == "Nothing was taken in."
    assert [sentence.split(":")[0] for sentence in said[1:]] == [f"Row {number}" for number in range(2, 9)]
    assert "is no amount" in said[1]
    assert "is no day" in said[2]
    assert "it is in EUR" in said[3]
    assert "is a formula" in said[4] and "is a formula" in said[5]
    assert "the day is missing" in said[6]
    assert "the amount is missing" in said[7]


def test_text_in_a_formula_coat_is_text_and_phone_numbers_are_too() -> None:
    movement = read('Date,Amount,Payer,Text\n2026-02-05,1.00,"=""0012""",+44 555 0100\n').movements[0]
    assert (movement.name, movement.text) == ("0012", "+44 555 0100")


def test_many_faults_are_cut_short() -> None:
    said = faults("Date,Amount\n" + "2026-02-05,x\n" * 50)
    assert len(said) == 22
    assert said[-1] == "And 30 rows more."


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"\x50\x4b\x03\x04\x00\x00", "no text"),
        (b"hello", "no table"),
        (b"Date,Amount\n", "no rows"),
        (b"Date,Amount\n,\nSum,\n", "is no day"),
        (b"a,b\n" + b'"' + b"x" * 200_000, "far too long or broken"),
        (b"x" * (LARGEST_FILE + 1), "over 10 MB"),
    ],
)
def test_file_that_is_no_statement(data: bytes, sentence: str) -> None:
    with pytest.raises(Unreadable, match=sentence):
        csv_rows.read(data, currency="USD")


def test_sixteen_bit_text_and_a_side_column() -> None:
    text = "Date\tAmount\tCredit/Debit\n2026-02-05\t12.00\tDBIT\n2026-02-06\t3.00\tCRDT\n"
    statement = csv_rows.read(text.encode("utf-16"), currency="USD")
    assert [row.amount for row in statement.movements] == [Decimal("-12.00"), Decimal("3.00")]


names = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Cf", "Cn", "Co", "Zl", "Zp", "Zs")),
    max_size=20,
).filter(lambda name: not csv_words.is_formula(name) and not name.startswith('="'))
rows = st.lists(
    st.tuples(
        st.dates(date(2001, 1, 1), date(2090, 12, 31)),
        st.decimals(Decimal("0.01"), Decimal(999_999), places=2),
        st.booleans(),
        names,
        names,
    ),
    min_size=1,
    max_size=12,
)


def written(found: list, *, delimiter: str, comma: bool) -> bytes:
    """As a bank would write them: day first with points, thousands grouped."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerow(["Booking date", "Payer", "Details", "Amount"])
    for day, amount, went, name, text in found:
        said = f"{-amount if went else amount:,.2f}"
        if comma:
            said = said.translate(str.maketrans(",.", ".,"))
        writer.writerow([f"{day:%d.%m.%Y}", name, text, said])
    return out.getvalue().encode()


@given(found=rows, delimiter=st.sampled_from(",;\t|"), comma=st.booleans())
def test_what_was_written_is_read_back_to_the_cent(found: list, delimiter: str, comma: bool) -> None:
    statement = csv_rows.read(written(found, delimiter=delimiter, comma=comma), currency="USD")
    assert [(row.day, row.amount) for row in statement.movements] == [
        (day, -amount if went else amount) for day, amount, went, _, _ in found
    ]
    assert [row.name for row in statement.movements] == [" ".join(name.split()) for _, _, _, name, _ in found]


@given(
    data=st.binary(max_size=400)
    | st.text(alphabet="Date,Amount;\n\"'=-0123456789./ ", max_size=300).map(str.encode)
)
def test_no_bytes_bring_anything_but_a_sentence(data: bytes) -> None:
    try:
        statement = csv_rows.read(data, currency="USD")
    except (Unreadable, NeedsLayout) as said:
        assert str(said)
    else:
        assert statement.movements
