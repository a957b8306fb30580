"""The test sheet in a real browser: filled to the last row without a mouse, a soak counted on, the list put in order without dragging."""

import datetime as dt
import os
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings as shop_settings
from django.test import Client
from playwright.sync_api import Browser, Page, sync_playwright

from intake.models import Order
from intake.stations import Station
from shop.bench import soaks
from shop.models import TestRow, TestSheet
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
def order(bench: SimpleNamespace, at: dt.datetime) -> Order:
    return walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)


def opened(browser: Browser, live_server: Any, person: Any, width: int) -> Iterator[Page]:
    client = Client()
    client.force_login(person)
    context = browser.new_context(viewport={"width": width, "height": 844})
    context.set_default_timeout(20000)
    name = shop_settings.SESSION_COOKIE_NAME
    context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": live_server.url}])
    page, faults = context.new_page(), []
    page.on("pageerror", lambda error: faults.append(str(error)))
    yield page
    context.close()
    assert faults == []


@pytest.fixture(params=[390, 1280])
def page(browser: Browser, live_server: Any, bench: SimpleNamespace, request: Any) -> Iterator[Page]:
    yield from opened(browser, live_server, bench.technician, request.param)


@pytest.fixture
def desk(browser: Browser, live_server: Any, bench: SimpleNamespace) -> Iterator[Page]:
    yield from opened(browser, live_server, bench.owner, 390)


def look(page: Page, name: str) -> None:
    width = page.viewport_size["width"] if page.viewport_size else 0
    if SHOTS:
        page.screenshot(path=f"{SHOTS}/{name}-{width}.png", full_page=True)
    found = Axe().run(page)
    assert found.violations_count == 0, f"{name}: {found.generate_report()}"
    wide = page.evaluate("document.documentElement.scrollWidth")
    over = page.evaluate(
        """width => [...document.querySelectorAll("main *")].filter((one) => !one.closest(".wide > *") && one.getBoundingClientRect().right > width + 1)
        .map((one) => `${one.tagName}.${one.className} ${one.id} ${one.textContent.slice(0, 40)} in ${one.parentElement.className}`).slice(0, 6)""",
        width,
    )
    assert wide <= width, f"{name} is {wide} wide: {over}"


def test_sheet_is_filled_and_signed_without_a_mouse(page: Page, live_server: Any, order: Order) -> None:
    page.goto(f"{live_server.url}/sheet/{order.code}/")
    page.wait_for_load_state("networkidle")
    look(page, "test-sheet")
    rows = list(TestRow.objects.filter(run__order=order))
    page.locator("#test-sheet input[name=result-1]").first.focus()
    for row in rows:
        here = page.locator(f"#test-row-{row.number}")
        here.locator(":focus").wait_for()
        if row.before_id:
            page.keyboard.type("452m")
            page.keyboard.press("Enter")
            here.locator("[data-judged]", has_text="After: 452 mV, ok.").wait_for()
        elif row.mode and row.number > 1:
            page.keyboard.type("500m" if row.low else "1m")
            page.keyboard.press("Enter")
            here.locator("input[value=ok]:checked").wait_for()
        elif row.soak_minutes:
            page.keyboard.press("5")
            here.locator("input[name^=reason]:focus").wait_for()
            page.keyboard.type("No shelf is free")
            page.keyboard.press("Enter")
        else:
            page.keyboard.press("1")
            here.locator("input[value=ok]:checked").wait_for()
        page.wait_for_timeout(90)
    page.locator("#test-sheet [name=sign]:focus").wait_for()
    page.keyboard.press("Enter")
    page.locator("text=Signed. The customer has the report and the bill.").wait_for()
    order.refresh_from_db()
    assert order.station == Station.GOODS_OUT
    assert {row.result for row in TestRow.objects.filter(run__order=order)} == {"ok", "cannot"}


def test_digits_that_come_as_fast_as_a_scanner_mark_nothing(
    page: Page, live_server: Any, order: Order
) -> None:
    page.goto(f"{live_server.url}/sheet/{order.code}/")
    first = page.locator("#test-sheet input[name=result-2]").first
    first.focus()
    page.evaluate(
        """() => { for (const key of "1234512345") document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true })) }"""
    )
    page.wait_for_timeout(200)
    assert page.locator("#test-sheet input[type=radio][name^=result]:checked").count() == 0


def test_count_and_refusal_are_said_while_the_rows_are_kept(
    page: Page, live_server: Any, order: Order
) -> None:
    page.goto(f"{live_server.url}/sheet/{order.code}/")
    page.wait_for_load_state("networkidle")
    rows = TestRow.objects.filter(run__order=order)
    page.locator("#test-row-4 input[value=cannot]").check()
    page.locator("#test-row-5 input[value=ok]").check()
    page.locator("#test-row-6 input[value=ok]").focus()
    page.locator("#test-row-4 [data-not-kept]", has_text="Say why it cannot be tested.").wait_for()
    page.locator("[data-counted]", has_text=f"Blank: {len(rows) - 1} of {len(rows)} rows").wait_for()
    page.locator("[data-saved]", has_text="The other rows are kept.").wait_for()
    look(page, "test-refused")
    assert rows.get(number=5).result == "ok" and rows.get(number=4).result == ""
    page.locator("#test-row-4 [name=reason-4]").fill("No cable here")
    page.locator("#test-row-6 input[value=ok]").focus()
    page.locator("#test-row-4 [data-not-kept]").wait_for(state="detached")


def test_soak_counts_on_and_a_reload_shows_the_same(
    page: Page, live_server: Any, order: Order, bench: SimpleNamespace
) -> None:
    now = dt.datetime.now(dt.UTC)
    row = TestRow.objects.get(run__order=order, soak_minutes=30)
    soaks.start(row=row, by=bench.technician, at=now - dt.timedelta(minutes=10))
    page.goto(f"{live_server.url}/sheet/{order.code}/")
    place = page.locator("[data-soak-ends]")
    for _ in range(2):
        assert place.inner_text() in ("19 min", "20 min")
        page.reload()
    look(page, "test-soak")


def test_list_is_put_in_order_without_dragging_and_without_script(
    desk: Page, browser: Browser, live_server: Any
) -> None:
    desk.goto(f"{live_server.url}/settings/tests/board/")
    look(desk, "test-list")
    first = desk.locator("#id_text_0").input_value()
    desk.locator("button[value=down-0]").focus()
    desk.keyboard.press("Enter")
    desk.locator(f"#id_text_1[value='{first}']").wait_for()
    desk.locator("button.act-plain[name=look]").focus()
    desk.keyboard.press("Enter")
    desk.locator("#preview").wait_for()
    look(desk, "test-list-looked")
    desk.get_by_role("button", name="Save").focus()
    desk.keyboard.press("Enter")
    desk.locator("text=Saved. Tests that are signed keep their list.").wait_for()
    assert TestSheet.objects.get().rows[1]["text"] == first
