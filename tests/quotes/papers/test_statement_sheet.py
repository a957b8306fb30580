"""The statement on paper: sound as a file, calm under any text, and saying every amount."""

import dataclasses
from datetime import date, timedelta
from decimal import Decimal as D

import pytest

from intake.papers.html import pdf_from_html
from quotes.papers.statement import BillRow, StatementLine, StatementPaper, statement_pdf
from tests.paper_samples import HEAD, HOSTILE, assert_sound_sheet, loose_fonts, poisoned, read, words_of

DAY = date(2026, 1, 12)
LINE = StatementLine(DAY, "Invoice", "INV-00007", "MARW-7C4X", D("112.32"))
STATEMENT = StatementPaper(
    HEAD, "STM-00003", ("Stallmere Phones", "9 Nowhere Lane", "Anytown"), date(2026, 1, 1), date(2026, 1, 31),
    date(2026, 2, 2), D("50.00"), D("142.32"),
    lines=((LINE, StatementLine(DAY, "Payment", "", "MARW-7C4X", D("-20.00"))),),
    bills=((BillRow("INV-00002", date(2025, 12, 1), date(2025, 12, 15), D("30.00"), is_late=True), BillRow("INV-00007", DAY, date(2026, 2, 11), D("112.32"))),),
    ages=(("0 to 30", D("112.32")), ("31 to 60", D(0)), ("61 to 90", D("30.00")), ("over 90", D(0))),
    late=D("30.00"), tax_number="ZZ-117", bank_account="ZZ00 0000 0000",
)  # fmt: skip


def said(paper):
    return " ".join(words_of(statement_pdf(paper, press=pdf_from_html)).split())


def test_statement_is_one_sound_page():
    pdf = statement_pdf(STATEMENT, press=pdf_from_html)
    assert_sound_sheet(pdf)
    assert len(read(pdf).pages) == 1


@pytest.mark.parametrize("poison", HOSTILE)
def test_statement_holds_hostile_text(poison):
    pdf = statement_pdf(poisoned(STATEMENT, HOSTILE[poison]), press=pdf_from_html)
    assert not read(pdf).attachments and loose_fonts(pdf) == []
    assert "root:" not in words_of(pdf)


@pytest.mark.parametrize(
    "words",
    ["Owed at the beginning $50.00", "Invoice INV-00007 MARW-7C4X $112.32", "Payment MARW-7C4X -$20.00", "31 to 60 $0.00",
     "Owed: $142.32", "Of it late: $30.00", "Tax number ZZ-117", "late $30.00", "This is no bill"],
)  # fmt: skip
def test_statement_says(words):
    assert words in said(STATEMENT)


@pytest.mark.parametrize(("closing", "words"), [("0", "Nothing is owed."), ("-9.50", "We owe you: $9.50")])
def test_statement_that_asks_for_nothing_says_so(closing, words):
    paper = dataclasses.replace(STATEMENT, closing=D(closing), late=D(0))
    assert words in said(paper) and "Owed: $" not in said(paper)


def test_interest_stands_outside_the_sum_and_only_where_it_is_given():
    assert "Interest" not in said(STATEMENT)
    paper = dataclasses.replace(STATEMENT, interest=D("11.50"), interest_percent=D("8.500"))
    assert "at 8.5 % a year" in said(paper) and "$11.50. It is not in the sum above." in said(paper)
    assert "Owed: $142.32" in said(paper)


def test_long_month_is_printed_whole():
    lines = [
        dataclasses.replace(LINE, document=f"INV-{n:05d}", on=DAY + timedelta(days=n % 9)) for n in range(230)
    ]
    blocks = tuple(tuple(lines[start : start + 50]) for start in range(0, 230, 50))
    text = said(dataclasses.replace(STATEMENT, lines=blocks))
    assert all(f"INV-{n:05d}" in text for n in range(230))
