"""The papers of the price: sound as files, calm under any text, and saying every amount."""

import dataclasses
import time
from decimal import Decimal

import pypdfium2
import pytest

from intake.papers.html import pdf_from_html
from quotes.papers.decision_receipt import decision_receipt_pdf
from quotes.papers.invoice import invoice_pdf
from quotes.papers.quote import quote_pdf
from tests.paper_samples import (
    CREDIT,
    DECISION,
    DIGEST,
    HOSTILE,
    INVOICE,
    QUOTE,
    QUOTES_SHEETS,
    SEVERAL,
    SPOKEN,
    assert_sound_sheet,
    loose_fonts,
    poisoned,
    read,
    words_of,
)


def said(pdf: bytes) -> str:
    return " ".join(words_of(pdf).split())


@pytest.mark.parametrize("name", QUOTES_SHEETS)
def test_sheet_is_tagged_titled_and_embedded(name: str) -> None:
    paper, make = QUOTES_SHEETS[name]
    pdf = make(paper, press=pdf_from_html)
    assert_sound_sheet(pdf)
    assert len(read(pdf).pages) == 1
    assert len(pdf) <= 30_720


@pytest.mark.parametrize("poison", HOSTILE)
@pytest.mark.parametrize("name", QUOTES_SHEETS)
def test_sheet_holds_hostile_text(name: str, poison: str) -> None:
    paper, make = QUOTES_SHEETS[name]
    pdf = make(poisoned(paper, HOSTILE[poison]), press=pdf_from_html)
    assert not read(pdf).attachments and loose_fonts(pdf) == []
    assert "root:" not in words_of(pdf)


@pytest.mark.parametrize(
    "words",
    ["One fixed total, all in $112.32", "Mend it $112.32", "Send it back as it is $12.00", "Recycle it $0.00",
     "If it fails, you pay $12.00 and no more", "Tue 24 February 2026, 23:00", "Tax 8 % on $4.00 $0.32",
     "You thought: The microphone is blown.", "cannot promise it", DIGEST, "terms version 4", "Chance: Good.",
     "Done by Tue 10 February 2026", "Warranty: 90 days from delivery."],
)  # fmt: skip
def test_quote_says(words: str) -> None:
    assert words in said(quote_pdf(QUOTE, press=pdf_from_html))


@pytest.mark.parametrize(
    "words",
    ["Save the data only $140.00", "If you like: Front film, $19.00 more", "we ask for $40.00 before we order the part",
     "It comes back if the part cannot be had.", "What has changed since revision 1", "New socket $96.00 $120.00 +$24.00",
     "Wire $4.00 off it -$4.00", "Film not on it $9.00 +$9.00", "Together +$29.00", "We found more when it was open.",
     "Mend it: what the price is made of", "No tax on $140.00: the post abroad is exempt", "One fixed total, all in $140.00"],
)  # fmt: skip
def test_quote_of_several_ways_says(words: str) -> None:
    assert words in said(quote_pdf(SEVERAL, press=pdf_from_html))


def test_quote_without_recycling_does_not_offer_it() -> None:
    without = dataclasses.replace(QUOTE, choices=QUOTE.choices[:2])
    assert "Recycle" not in said(quote_pdf(without, press=pdf_from_html))


def test_first_quote_names_no_change_and_no_deposit() -> None:
    words = said(quote_pdf(QUOTE, press=pdf_from_html))
    assert "changed" not in words and "Deposit" not in words


def test_quote_is_the_same_bytes_each_time() -> None:
    first = quote_pdf(QUOTE)
    time.sleep(1.1)  # the faces carry whole seconds
    assert quote_pdf(QUOTE) == first


def test_decision_written_down_by_the_shop_says_so() -> None:
    by_phone = dataclasses.replace(DECISION, recorded_by="Ansel Rook", channel="By telephone")
    assert "not typed by the customer" in said(decision_receipt_pdf(by_phone, press=pdf_from_html))
    own = said(decision_receipt_pdf(DECISION, press=pdf_from_html))
    assert "not typed by the customer" not in own
    assert DIGEST in own and "2026-02-03 12:00:00 UTC" in own


@pytest.mark.parametrize(
    "words",
    ["Who said it Mara Ellwick", "Said on Tue 3 February 2026, 11:40", "Number called 555-0101",
     "Conditions Only if it is back by Friday.", "Written down by Ansel Rook", "With it: Clean the vents, $11.01",
     "I know that you promise nothing: it may not work after the cleaning. (terms version 4)", "In all $71.01",
     "If it fails: you pay $12.00 and no more.", "Deposit: $40.00 before we order the part", "tell us at once"],
)  # fmt: skip
def test_receipt_of_a_spoken_answer_says(words: str) -> None:
    assert words in said(decision_receipt_pdf(SPOKEN, press=pdf_from_html))


@pytest.mark.parametrize(
    ("balance", "words"),
    [("62.32", "To pay: $62.32"), ("0", "Paid in full. Nothing to pay."), ("-5", "We owe you: $5.00")],
)
def test_invoice_says_the_balance(balance: str, words: str) -> None:
    paper = dataclasses.replace(INVOICE, balance=Decimal(balance))
    assert words in said(invoice_pdf(paper, press=pdf_from_html))


def test_invoice_prints_the_reference_in_fours() -> None:
    assert "RF71 2348 231" in said(invoice_pdf(INVOICE, press=pdf_from_html))


def test_credit_note_names_its_invoice_and_asks_for_nothing() -> None:
    words = said(invoice_pdf(CREDIT, press=pdf_from_html))
    assert (
        "Credits invoice INV-000042" in words and "Total credited" in words and "To be paid by" not in words
    )


def test_money_follows_the_currency_and_the_locale() -> None:
    head = dataclasses.replace(QUOTE.head, currency="EUR", locale="de_DE")
    assert "112,32 €" in said(quote_pdf(dataclasses.replace(QUOTE, head=head), press=pdf_from_html)).replace(
        "\xa0", " "
    )


def test_endless_words_push_no_amount_off_the_page() -> None:
    pdf = quote_pdf(poisoned(QUOTE, "W" * 300), press=pdf_from_html)
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        text = page.get_textpage()
        for found in range(text.count_rects()):
            assert text.get_rect(found)[2] <= page.get_width()
    document.close()
    assert words_of(pdf).count("$112.32") == 2
