"""Every paper the actions put down can be drawn from its rows, once, and says what it should."""

import io
from datetime import datetime
from types import SimpleNamespace

import pytest
from pypdf import PdfReader

from intake.models import Paper
from intake.paper_files import content, makers
from intake.papers.shipping_form import shipping_form_html
from intake.request_words import LOCK_WISH
from intake.stations import Station
from shop.makers import sheet_pdf
from tests import walk


def _text(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def test_papers_of_a_whole_walk_are_drawn(bench: SimpleNamespace, at: datetime) -> None:
    order = walk.to(walk.request(at=at), Station.HOME, by=bench.technician, at=at)
    drawn = {paper.maker: content(paper, at=at) for paper in Paper.objects.filter(order=order)}
    assert set(drawn) >= {
        "shipping_form", "address_label_100x150", "address_label_4x6", "address_label_a6", "bag_label",
        "arrival_receipt", "quote", "decision_receipt", "invoice", "repair_report",
    }  # fmt: skip
    assert set(drawn) <= makers()
    for maker in ("quote", "invoice"):
        assert "112.32" in _text(drawn[maker])
    assert order.code in _text(sheet_pdf(order, at=at))


@pytest.mark.parametrize("wish", [*LOCK_WISH, ""])
def test_shipping_form_says_of_the_lock_what_the_customer_chose(
    bench: SimpleNamespace, at: datetime, monkeypatch: pytest.MonkeyPatch, wish: str
) -> None:
    monkeypatch.setattr("intake.makers.shipping_form_pdf", lambda form: shipping_form_html(form).encode())
    order = walk.request(at=at, lock_wish=wish)
    drawn = content(order.papers.get(maker="shipping_form"), at=at).decode()
    chosen = LOCK_WISH.get(wish, "Nothing said")
    assert f'<span class="label">Lock</span>{chosen}' in drawn
    assert not any(words in drawn for words in LOCK_WISH.values() if words != chosen)


def test_paper_is_drawn_once(bench: SimpleNamespace, at: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    order = walk.request(at=at)
    paper = Paper.objects.get(order=order, maker="address_label_a6")
    first = content(paper, at=at)
    monkeypatch.setattr("intake.paper_files._draw", lambda _paper: pytest.fail("drawn again"))
    assert content(Paper.objects.get(pk=paper.pk), at=at) == first
