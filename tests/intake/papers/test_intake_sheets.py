"""The intake's letter-size papers: sound as files, calm under any text, and saying what they must."""

import dataclasses

import pytest

from intake.papers.html import pdf_from_html
from tests.paper_samples import (
    CODE,
    FORM,
    HOSTILE,
    INTAKE_SHEETS,
    assert_sound_sheet,
    loose_fonts,
    poisoned,
    read,
    words_of,
)


@pytest.mark.parametrize("name", INTAKE_SHEETS)
def test_sheet_is_tagged_titled_and_embedded(name: str) -> None:
    paper, make = INTAKE_SHEETS[name]
    pdf = make(paper, press=pdf_from_html)
    assert_sound_sheet(pdf, title=CODE)
    assert len(read(pdf).pages) == 1


@pytest.mark.parametrize("poison", HOSTILE)
@pytest.mark.parametrize("name", INTAKE_SHEETS)
def test_sheet_holds_hostile_text(name: str, poison: str) -> None:
    paper, make = INTAKE_SHEETS[name]
    pdf = make(poisoned(paper, HOSTILE[poison]), press=pdf_from_html)
    assert not read(pdf).attachments and loose_fonts(pdf) == []
    assert "root:" not in words_of(pdf)


def test_markup_is_printed_as_typed() -> None:
    pdf = INTAKE_SHEETS["shipping form"][1](
        dataclasses.replace(FORM, symptom="<b>loud</b> & {{ head }}"), press=pdf_from_html
    )
    assert "<b>loud</b> & {{ head }}" in words_of(pdf)


def test_long_symptom_flows_to_a_second_sheet_and_keeps_the_label_on_the_first() -> None:
    pdf = INTAKE_SHEETS["shipping form"][1](
        dataclasses.replace(FORM, symptom="It gets warm and goes dark again. " * 110), press=pdf_from_html
    )
    pages = read(pdf).pages
    assert len(pages) == 2
    assert "Cut here" in pages[0].extract_text() and "Nothing to pay now" in pages[1].extract_text()


def test_letter_size_form_keeps_to_one_sheet() -> None:
    letter = dataclasses.replace(FORM, head=dataclasses.replace(FORM.head, page="Letter"))
    assert len(read(INTAKE_SHEETS["shipping form"][1](letter, press=pdf_from_html)).pages) == 1


@pytest.mark.parametrize(
    "words",
    [
        "Nothing to pay now",
        "RESTRICTED ELECTRONIC DEVICE",
        "FR 2022-12003",
        "Do not post it",
        "passcode on paper",
        "Return post: $12.00",
        "Your idea, kept as a clue",
        "up to $120.00",
    ],
)
def test_form_says(words: str) -> None:
    said = " ".join(words_of(INTAKE_SHEETS["shipping form"][1](FORM, press=pdf_from_html)).split())
    assert words.lower() in said.lower()
