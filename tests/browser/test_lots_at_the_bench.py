"""A delivery becomes a lot, a piece of it is fitted by the keyboard alone, and the lot is stopped: in a real browser."""

import os
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, Page, expect, sync_playwright

from intake import drain
from intake.models import Order
from intake.stations import Station
from quotes import lots
from quotes.models import Lot, Part
from shop.bench import repair
from shop.stockroom import lots as stock_lots
from tests import walk
from tests.browser import walking

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SHOTS = os.environ.get("BENCHPOST_SHOTS")


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def order(bench: SimpleNamespace, settings: Any, live_server: Any) -> Order:
    settings.SITE_ADDRESS = live_server.url
    at = drain.now()
    for pieces in (3, 5):
        stock_lots.receive_lot(
            part=Part.objects.get(number="WIRE-002"), quantity=pieces, unit_cost=Decimal("0.09"),
            supplier="Tin Street Parts", marks="2405 B", note="", key=f"in-{pieces}", by=bench.technician, at=at,
        )  # fmt: skip
    return walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)


def signed_in(browser: Browser, bench: SimpleNamespace, site: str, size: dict[str, int]) -> Page:
    client = Client()
    client.force_login(bench.technician)
    page = walking.open_page(browser, size, [])
    page.context.add_cookies(
        [{"name": name, "value": one.value, "url": site} for name, one in client.cookies.items()]
    )
    return page


def audited(page: Page, name: str) -> None:
    """Open every fold; no rule of axe-core is broken and nothing scrolls sideways."""
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
    if SHOTS:
        page.screenshot(path=f"{SHOTS}/{name}.png", full_page=True)
    found = Axe().run(page)
    assert not found.violations_count, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]  # type: ignore[index]


def test_lot_is_fitted_by_the_keyboard_alone(
    browser: Browser, bench: SimpleNamespace, live_server: Any, order: Order
) -> None:
    page = signed_in(browser, bench, live_server.url, walking.DESK)
    page.goto(f"{live_server.url}/sheet/{order.code}/")
    page.keyboard.press("F4")
    expect(page.locator("#part_number")).to_be_focused()
    page.keyboard.type("L-0002")
    walking.key(page, "Enter")
    assert "WIRE-002 fitted: 1, lot L-0002." in page.content()
    assert lots.pieces_of(Lot.objects.get(number="L-0002")) == 4
    page.keyboard.press("F4")
    page.keyboard.type("WIRE-002")
    walking.key(page, "Enter")
    expect(page.locator("select#part_lot")).to_have_value("L-0001")
    page.locator("select#part_lot").press("Enter")
    page.locator("#part_number").focus()
    walking.key(page, "Enter")
    assert "WIRE-002 fitted: 1, lot L-0001." in page.content()


def test_step_is_ticked_by_space_and_kept(
    browser: Browser, bench: SimpleNamespace, live_server: Any, order: Order
) -> None:
    page = signed_in(browser, bench, live_server.url, walking.DESK)
    page.goto(f"{live_server.url}/sheet/{order.code}/")
    page.locator("#steps_steps_0").focus()
    with page.expect_response(lambda answer: "/repair/steps/" in answer.url):
        page.keyboard.press("Space")
    assert order.steps.filter(done_at__isnull=False).count() == 1


@pytest.mark.parametrize("size", [walking.PHONE, walking.DESK], ids=["phone", "desk"])
def test_pages_of_lots_and_parts_pass_the_audit(
    browser: Browser, bench: SimpleNamespace, live_server: Any, order: Order, size: dict[str, int]
) -> None:
    at, lot = drain.now(), Lot.objects.get(number="L-0001")
    who, part = {"by": bench.technician, "at": at}, Part.objects.get(number="WIRE-002")
    repair.tick_these(order=order, keys=[step.key for step in repair.steps_of(order)[:2]], **who)
    repair.add_step(order=order, text="Relaid the shield", key="own", **who)
    repair.use_part(order=order, part=part, quantity=1, lot=lot, key="f", **who)
    repair.use_part(
        order=order, part=part, quantity=1, lot=lot, key="s", spoiled=True, why="Bad on arrival: open", **who
    )
    page, width = signed_in(browser, bench, live_server.url, size), size["width"]
    for path, name in (
        (f"/sheet/{order.code}/", "repair"),
        (f"/stock/{part.pk}/", "part"),
        (f"/stock/lots/{lot.pk}/", "lot"),
        ("/stock/lots/", "lots"),
    ):
        page.goto(f"{live_server.url}{path}")
        audited(page, f"{name}-{width}")
    stock_lots.stop_lot(lot=lot, reason="sample", words="1 of 1 open", **who)
    page.goto(f"{live_server.url}/stock/lots/{lot.pk}/")
    audited(page, f"lot-stopped-{width}")
