"""The papers of the bench and the way home."""

import dataclasses

import pytest

from intake.papers.html import pdf_from_html
from shop.papers.repair_report import repair_report_pdf
from shop.papers.return_label import return_label_pdf
from shop.papers.traveller import traveller_pdf
from tests.paper_samples import (
    CODE,
    HOSTILE,
    REPORT,
    RETURN,
    SHOP_SHEETS,
    TRAVELLER,
    assert_sound_sheet,
    codes_of,
    loose_fonts,
    poisoned,
    read,
    words_of,
)


@pytest.mark.parametrize("name", SHOP_SHEETS)
def test_sheet_is_tagged_titled_and_embedded(name: str) -> None:
    paper, make = SHOP_SHEETS[name]
    pdf = make(paper, press=pdf_from_html)
    assert_sound_sheet(pdf, title=CODE)
    # A report with a photo pair, readings and a whole list of tests takes two sheets; the others take one.
    assert len(read(pdf).pages) == (2 if name == "repair report" else 1)


@pytest.mark.parametrize("poison", HOSTILE)
@pytest.mark.parametrize("name", SHOP_SHEETS)
def test_sheet_holds_hostile_text(name: str, poison: str) -> None:
    paper, make = SHOP_SHEETS[name]
    pdf = make(poisoned(paper, HOSTILE[poison]), press=pdf_from_html)
    assert not read(pdf).attachments and loose_fonts(pdf) == []
    assert "root:" not in words_of(pdf)


@pytest.mark.parametrize("poison", HOSTILE)
def test_return_label_holds_hostile_text(poison: str) -> None:
    assert len(read(return_label_pdf(poisoned(RETURN, HOSTILE[poison]))).pages) == 1


def test_report_shows_the_pair_and_what_could_not_be_tested() -> None:
    said = " ".join(words_of(repair_report_pdf(REPORT, press=pdf_from_html)).split())
    assert "OL 0.452 V, in order" in said
    assert "Cannot test: no SIM of this net here" in said
    assert len(read(repair_report_pdf(REPORT, press=pdf_from_html)).pages[0].images) == 2


def test_report_without_photos_or_tests_leaves_no_empty_headings() -> None:
    bare = dataclasses.replace(REPORT, before=None, after=None, tests=(), steps=(), readings=())
    said = words_of(repair_report_pdf(bare, press=pdf_from_html))
    assert "Tested before" not in said and "What we did" not in said and "same point" not in said


def test_return_label_without_tracking_carries_the_order_code() -> None:
    plain = dataclasses.replace(RETURN, tracking="")
    assert ("Code128", CODE) in codes_of(return_label_pdf(plain))


def test_return_label_with_a_tracking_number_no_bar_code_can_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="bar code"):
        return_label_pdf(dataclasses.replace(RETURN, tracking="Ж123"))


def test_traveller_has_a_line_to_sign_for_each_blank_station() -> None:
    said = words_of(traveller_pdf(TRAVELLER, press=pdf_from_html))
    assert said.count("Sign here") == 1 and "Held: Waiting" in said and "1.4 Ω, out" in said
