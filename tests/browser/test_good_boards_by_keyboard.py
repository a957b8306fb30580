"""Good boards, meters and the card of sums in a browser: without a mouse, on a phone, in both lights, audited."""

from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, Page, sync_playwright

from intake import drain
from quotes.models import GoodReading
from tests.browser import walking
from tests.quotes import good_boards

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ASKED = "/bench/wire/?size=0.1+mm&length=12&amps=60+mA&rail=PP1V8&nominal=1.8&volts=3.8&limit=1"
PAGES = (ASKED, "/bench/wire/?size=thin", "/bench/good-boards/?board=Z7+main", "/bench/meters/")


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def page(browser: Browser, bench: SimpleNamespace, live_server: Any) -> Iterator[Page]:
    faults: list[str] = []
    client = Client()
    client.force_login(bench.technician)
    opened = walking.open_page(browser, walking.PHONE, faults)
    opened.context.add_cookies(
        [{"name": name, "value": one.value, "url": live_server.url} for name, one in client.cookies.items()]
    )
    yield opened
    opened.context.close()
    assert not faults


def test_the_pages_fit_a_phone_and_pass_the_audit_in_both_lights(
    page: Page, bench: SimpleNamespace, live_server: Any
) -> None:
    for number, value in enumerate(("0.450", "0.451", "0.453")):
        good_boards.kept_apart(f"Shelf {number}", value, by=bench.technician, at=drain.now())
    blue = good_boards.meter("Blue", by=bench.technician, at=drain.now(), amount="0.004")
    wrong = []
    for light in ("day", "bench"):
        page.context.add_cookies([{"name": "light", "value": light, "url": live_server.url}])
        for path in (*PAGES, f"/bench/meters/{blue.pk}/"):
            page.goto(f"{live_server.url}{path}")
            page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
            found = Axe().run(page)
            if found.violations_count:
                wrong.append(f"{light} {path}: {found.generate_report()}")
            if (wide := page.evaluate("document.documentElement.scrollWidth")) > walking.PHONE["width"]:
                wrong.append(f"{path} is {wide} wide")
    assert not wrong, "\n".join(wrong)


def test_good_boards_are_measured_from_the_keyboard(page: Page, live_server: Any) -> None:
    page.goto(f"{live_server.url}/bench/good-boards/")
    page.locator("#good_specimen").focus()
    page.keyboard.type("Shelf 1")
    page.keyboard.press("Tab")
    page.keyboard.type("Z7 main")
    for line in ("PP1V8 d .452", "PP3V0 d .501"):
        page.locator("#good_line").focus()
        page.keyboard.type(line)
        walking.key(page, "Enter")
        assert "Understood as" in page.locator(".echo").inner_text()
        page.locator("#good_line").focus()
        walking.key(page, "Enter")
    assert list(GoodReading.objects.order_by("pk").values_list("specimen", "point")) == [
        ("Shelf 1", "PP1V8"),
        ("Shelf 1", "PP3V0"),
    ]


def test_a_wire_is_worked_out_from_the_keyboard(page: Page, live_server: Any) -> None:
    page.goto(f"{live_server.url}/bench/wire/")
    page.locator("#card_size").focus()
    for text in ("0.1", "12"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.keyboard.type("60mA")
    walking.key(page, "Enter")
    assert "mΩ" in page.locator("dl.facts").inner_text()
    assert page.locator("#card_size").input_value() == "0.1"
