"""Pages of the books that are one printed sheet with the demonstration's data, on either paper, folds left on the screen."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pypdf
import pytest
from django.conf import LazySettings
from django.contrib.staticfiles import finders
from django.test import Client
from playwright.sync_api import sync_playwright

from intake import drain
from intake.models import Person
from shop.demo import world
from tests.browser import walking

pytestmark = pytest.mark.browser
AS_OF = datetime(2026, 2, 27, 18, 0, tzinfo=UTC)
# Address, words that must stand on the paper, words that stay on the screen.
PAGES = [
    ("/books/owed/", ("Owed by customers", "$733.20", "Dead stock", "Stallmere Phones"), ("Owed by order",)),
    (
        "/books/promises/",
        ("First promise kept", "28 of 31", "Quotes agreed to", "Answered within 21", "38 of 43"),
        ("Quotes by price", "Comebacks by lot"),
    ),
]
LINK = re.compile(r'<link rel="stylesheet" href="/static/(css/\w+\.css)">')


def _with_styles(page: str) -> str:
    """The page with its own style sheets within it, so that it can be printed without a server."""

    def rules(link: re.Match[str]) -> str:
        found = Path(str(finders.find(link[1])))
        text = found.read_text("utf-8").replace("../fonts/", f"{found.parent.parent.as_uri()}/fonts/")
        return f"<style>{text}</style>"

    return LINK.sub(rules, page)


@pytest.mark.django_db
def test_pages_of_the_books_are_one_sheet(
    chromium: Path, tmp_path: Path, settings: LazySettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.DEMO = True
    world.build(as_of=AS_OF)
    monkeypatch.setattr(drain, "now", lambda: AS_OF)
    client = Client()
    client.force_login(Person.objects.filter(role=Person.Role.OWNER).first())
    pages = {address: client.get(address).content.decode() for address, _, _ in PAGES}
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        opened = browser.new_page()
        for address, there, not_there in PAGES:
            saved = tmp_path / "page.html"
            saved.write_text(_with_styles(pages[address]), "utf-8")
            opened.goto(saved.as_uri())
            opened.evaluate("document.fonts.ready")
            for paper in ("A4", "Letter"):
                printed = tmp_path / f"{paper}.pdf"
                opened.pdf(path=str(printed), format=paper, prefer_css_page_size=False)
                sheets = pypdf.PdfReader(printed).pages
                assert len(sheets) == 1, (address, paper)
                words = " ".join(sheets[0].extract_text().split())
                assert [word for word in there if word not in words] == []
                assert [word for word in not_there if word in words] == []
        browser.close()
