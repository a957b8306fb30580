"""The demonstration's pages: there only in the demonstration, and every letter readable with what went with it."""

from datetime import datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import LazySettings
from django.test import Client

from intake import tokens
from intake.models import CustomerLink, Letter
from shop.demo import bank
from tests import walk


@pytest.mark.parametrize(
    "address",
    ["/demo/", "/demo/bank/camt053.xml", "/demo/letters/", "/demo/letters/1/", "/demo/letters/1/html/"],
)
def test_pages_do_not_exist_in_a_real_shop(
    bench: SimpleNamespace, settings: LazySettings, address: str
) -> None:
    settings.DEMO = False
    assert Client().get(address).status_code == 404


def test_tour_has_its_steps_and_leads_to_what_is_there(
    bench: SimpleNamespace, settings: LazySettings, at: datetime
) -> None:
    settings.DEMO = True
    mara = walk.request(at=at)
    yusra = walk.request(at=at, name="Yusra Kell")
    links = CustomerLink.objects.count()
    page = Client().get("/demo/").content.decode()
    assert page.count("<li><div>") == 6 + 7 + 4
    for words in ("6 steps through the shop", "The bench, in 7 steps", "The money, in 4 steps"):
        assert words in page
    assert f"/sheet/{mara.code}/" in page
    link = CustomerLink.objects.get(order=yusra)
    assert tokens.address_of(link).split("//", 1)[1].split("/", 1)[1] in page
    # Three sheets, Orla's window is counted with the money; of the bench the reading line, seen before, the soak, the code.
    assert page.count("not in the demonstration any more") == 3 + 4
    assert f"/sheet/{mara.code}/pictures/" in page and "/bench/good-boards/?board=Zarnik+Z7+main" in page
    assert "bench-under-glass" in page and "parcel-by-noon" in page
    assert CustomerLink.objects.count() == links


def test_files_of_the_bank_can_be_saved_once_they_are_there(
    bench: SimpleNamespace, settings: LazySettings, at: datetime, tmp_path: Path
) -> None:
    settings.DEMO, settings.DATA = True, tmp_path
    visitor = Client()
    assert visitor.get("/demo/bank/statement.csv").status_code == 404
    assert "statement.csv" not in visitor.get("/demo/").content.decode()
    bank.write(at=at)
    assert 'href="/demo/bank/statement.csv"' in visitor.get("/demo/").content.decode()
    saved = visitor.get("/demo/bank/statement.csv")
    assert saved.content.startswith(b"Booking date,") and "attachment" in saved.headers["Content-Disposition"]
    assert visitor.get("/demo/bank/secret.key").status_code == 404


def test_front_page_of_the_demonstration_leads_to_the_tour(
    bench: SimpleNamespace, settings: LazySettings
) -> None:
    settings.DEMO = True
    assert 'href="/demo/"' in Client().get("/").content.decode()
    settings.DEMO = False
    assert 'href="/demo/"' not in Client().get("/").content.decode()


def test_delivered_letter_can_be_read_with_its_papers_and_its_link(
    bench: SimpleNamespace, settings: LazySettings, at: datetime
) -> None:
    settings.DEMO = True
    walk.request(at=at)
    letter = Letter.objects.get(kind="request_received")
    visitor = Client()
    assert letter.subject in visitor.get("/demo/letters/").content.decode()
    page = visitor.get(f"/demo/letters/{letter.pk}/").content.decode()
    assert letter.link is not None and tokens.address_of(letter.link) in page
    paper = letter.papers.get()
    pdf = visitor.get(f"/demo/letters/{letter.pk}/paper/{paper.pk}/")
    assert pdf.content.startswith(b"%PDF") and pdf.headers["X-Content-Type-Options"] == "nosniff"
    assert visitor.get(f"/demo/letters/{letter.pk}/paper/{paper.pk + 1}/").status_code == 404
    assert "sandbox" in visitor.get(f"/demo/letters/{letter.pk}/html/").headers["Content-Security-Policy"]
