"""The owner's price book in a real browser: look, save, take a list in, go back; audited on a phone, with no script."""

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, Page, sync_playwright

from quotes.models import Part, Rates, Surcharge, TradeTier
from tests.browser import walking

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAGES = (
    "/settings/", "/settings/rates/", "/settings/rates/versions/", "/settings/rates/versions/1/", "/settings/prices/",
    "/settings/prices/parts/", "/settings/prices/parts/in/", "/settings/remedies/", "/settings/remedies/new/",
    "/settings/surcharges/", "/settings/surcharges/new/", "/settings/tiers/", "/settings/tiers/new/", "/stock/new/",
)  # fmt: skip


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def desk(browser: Browser, bench: SimpleNamespace, live_server: Any) -> Page:
    owner = Client()
    owner.force_login(bench.owner)
    page = walking.open_page(browser, walking.PHONE, [])
    page.context.add_cookies(
        [{"name": name, "value": one.value, "url": live_server.url} for name, one in owner.cookies.items()]
    )
    return page


def audit(page: Page, said: str) -> None:
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
    found = Axe().run(page)
    assert not found.violations_count, f"{said}: {found.generate_report()}"
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= walking.PHONE["width"], f"{said} is {wide} wide"


def test_price_pages_pass_the_audit_on_a_phone(desk: Page, live_server: Any) -> None:
    TradeTier.objects.create(name="Shops that send often", labour_factor=Decimal("0.85"))
    Surcharge.objects.create(name="Weekend", percent=Decimal("12.5"))
    for path in PAGES:
        desk.goto(f"{live_server.url}{path}")
        audit(desk, path)


def test_rates_are_looked_at_and_saved(desk: Page, live_server: Any) -> None:
    desk.goto(f"{live_server.url}/settings/rates/")
    desk.get_by_label("A bench minute sells for").fill("2")
    desk.get_by_role("button", name="See what changes").click()
    assert "from $118.80 to $142.80" in desk.locator("#preview").inner_text()
    audit(desk, "rates looked at")
    desk.get_by_role("button", name="Save these rates").click()
    assert Rates.current().rate_per_minute == 2
    desk.goto(f"{live_server.url}/settings/rates/versions/1/")
    audit(desk, "version looked at")
    desk.get_by_role("button", name="Use this version again").click()
    assert Rates.current().rate_per_minute == Decimal("1.6")


def test_list_is_taken_in_and_taken_back(desk: Page, live_server: Any, tmp_path: Path) -> None:
    part = Part.objects.get(number="ANT-J1")
    wrong, right = tmp_path / "wrong.csv", tmp_path / "right.csv"
    wrong.write_text("Number,List price\nANT-J1,dear\nNO-SUCH,4\n")
    right.write_text("Number,List price\nANT-J1,7.25\n")
    desk.goto(f"{live_server.url}/settings/prices/parts/in/")
    for file in (wrong, right):
        desk.get_by_label("The list, CSV or XLSX").set_input_files(file)
        desk.get_by_role("button", name="See what").click()
        audit(desk, file.name)
    desk.get_by_role("button", name="Take in all 1").click()
    audit(desk, "price book after a list")
    desk.goto(f"{live_server.url}/settings/prices/changes/")
    audit(desk, "changes after a list")
    desk.go_back()
    part.refresh_from_db()
    assert part.list_price == Decimal("7.25")
    desk.get_by_role("button", name="See what going back changes").click()
    desk.get_by_role("button", name="Take in all 1").click()
    part.refresh_from_db()
    assert part.list_price == 6
