"""A part from a donor board is called so wherever the customer reads of it: read back from papers, window and letters."""

import io
from urllib.parse import urlsplit

import pypdf
import pytest
from django.test import Client

from intake import drain, paper_files, tokens
from intake.stations import Station
from quotes.models import Part
from tests import walk

DONOR = "from a donor board"


@pytest.fixture
def order(bench, at):
    """Mended with a part from a donor board, tested and billed."""
    order = walk.to(walk.request(at=at), Station.QUOTE, by=bench.technician, at=at)
    part = Part.objects.get(number="DON-Q3")
    lines = [
        {"kind": "labour", "text": "Speaker changed", "minutes": 30, "quantity": "1", "price": "40.00"},
        {"kind": "part", "part": part.pk, "text": "Loud speaker", "quantity": "1"},
        {"kind": "post", "text": "Return post", "quantity": "1", "price": "12.00"},
    ]
    walk.quote(order, by=bench.owner, at=at, lines=lines)
    walk.answer(order, at=at)
    walk.mend(order, by=bench.technician, at=at)
    walk.test_and_pass(order, by=bench.technician, at=at)
    order.refresh_from_db()
    return order


def words_of(pdf):
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.mark.parametrize("maker", ["quote", "invoice", "repair_report"])
def test_paper_names_the_donor_part_as_such(order, at, maker):
    paper = order.papers.get(maker=maker)
    assert f"Loud speaker ({DONOR})" in words_of(paper_files.content(paper, at=at))


def test_window_and_sheet_name_the_donor_part_as_such(order, bench, at):
    address = urlsplit(tokens.address_of(tokens.give_link(order, at=drain.now()))).path
    assert f"Loud speaker ({DONOR})" in Client().get(address, follow=True).content.decode()
    staff = Client()
    staff.force_login(bench.technician)
    assert f"DON-Q3</b> Speaker, {DONOR}" in staff.get(f"/sheet/{order.code}/").content.decode()


def test_frozen_quote_says_it_whatever_was_typed(order):
    quote = order.quotes.get()
    line = quote.lines.get(kind="part")
    assert (line.text, line.condition) == (f"Loud speaker ({DONOR})", DONOR)
    assert any(row["text"] == line.text for row in quote.shown["lines"])
    assert order.invoices.get().lines.get(text=line.text)
