"""The week of the demonstration's shop is one printed sheet, on either paper, with every definition."""

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


def _with_styles(page: str) -> str:
    """The page with its own style sheets within it, so that it can be printed without a server."""
    for name in ("tokens", "base", "sheet", "parts", "customer", "staff", "print", "office", "books"):
        found = Path(str(finders.find(f"css/{name}.css")))
        rules = found.read_text("utf-8").replace("../fonts/", f"{found.parent.parent.as_uri()}/fonts/")
        link = f'<link rel="stylesheet" href="/static/css/{name}.css">'
        assert link in page
        page = page.replace(link, f"<style>{rules}</style>")
    return page


@pytest.mark.django_db
def test_week_is_one_sheet_on_either_paper(
    chromium: Path, tmp_path: Path, settings: LazySettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.DEMO = True
    world.build(as_of=AS_OF)
    monkeypatch.setattr(drain, "now", lambda: AS_OF)
    client = Client()
    client.force_login(Person.objects.filter(role=Person.Role.OWNER).first())
    page = client.get("/books/").content.decode()
    saved = tmp_path / "week.html"
    saved.write_text(_with_styles(page), "utf-8")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        opened = browser.new_page()
        opened.goto(saved.as_uri())
        opened.evaluate("document.fonts.ready")
        for paper in ("A4", "Letter"):
            printed = tmp_path / f"{paper}.pdf"
            opened.pdf(path=str(printed), format=paper, prefer_css_page_size=False)
            pages = pypdf.PdfReader(printed).pages
            assert len(pages) == 1, paper
            words = " ".join(pages[0].extract_text().split())
            assert "What these mean" in words
            assert "Work ahead, days:" in words
        browser.close()
