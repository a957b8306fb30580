"""A device that got wet: the caution stands wherever the customer reads it, and beside the battery at goods in."""

import dataclasses
from types import SimpleNamespace

import pytest
from django.test import Client

from intake import paper_files
from intake.cells import LEAVE_IT_OFF, WET_LATER, liquid_caution
from intake.models import Letter
from intake.papers.html import pdf_from_html
from intake.papers.shipping_form import shipping_form_html
from intake.request_words import BEFORE, GOT_WET
from tests import walk
from tests.paper_samples import FORM, INTAKE_SHEETS, read, words_of
from tests.window_pages import AT, page_of, said

OTHERS = [words for words in BEFORE if words != GOT_WET]
CAUTION = f"{LEAVE_IT_OFF} {WET_LATER}"


def test_wet_is_told_by_the_tick_alone() -> None:
    assert liquid_caution([*OTHERS, GOT_WET]) == CAUTION
    assert liquid_caution(OTHERS) == "" and liquid_caution([]) == ""
    assert "Do not charge it or warm it" in CAUTION and "local law go first" in CAUTION


@pytest.mark.parametrize(("before", "warned"), [([GOT_WET], True), (OTHERS, False)])
def test_page_letter_and_form_warn_of_a_wet_device(
    bench: SimpleNamespace, client: Client, monkeypatch: pytest.MonkeyPatch, before: list[str], warned: bool
) -> None:
    order = walk.request(at=AT, before=before)
    drawn: list[str] = []
    monkeypatch.setattr(
        "intake.makers.shipping_form_pdf", lambda form: drawn.append(shipping_form_html(form)) or b""
    )
    paper_files.content(order.papers.get(maker="shipping_form"), at=AT)
    letter = Letter.objects.get(order=order, kind="request_received")
    for words in (page_of(order, client), letter.text, letter.html, drawn[0]):
        assert (CAUTION in said(words)) is warned


@pytest.mark.parametrize(("before", "warned"), [([GOT_WET], True), (OTHERS, False)])
def test_bench_reads_it_beside_the_battery(
    bench: SimpleNamespace, client: Client, before: list[str], warned: bool
) -> None:
    client.force_login(bench.technician)
    page = said(client.get(f"/sheet/{walk.request(at=AT, before=before).code}/"))
    assert (f"The customer says it got wet {LEAVE_IT_OFF}" in page) is warned


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_form_of_a_wet_device_keeps_to_one_sheet(size: str) -> None:
    wet = dataclasses.replace(FORM, head=dataclasses.replace(FORM.head, page=size), liquid_words=CAUTION)
    pdf = INTAKE_SHEETS["shipping form"][1](wet, press=pdf_from_html)
    assert len(read(pdf).pages) == 1
    assert LEAVE_IT_OFF in " ".join(words_of(pdf).split())
