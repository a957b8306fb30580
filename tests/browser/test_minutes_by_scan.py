"""Minutes without a mouse: the key, the scanned card, and the question when nothing is done; the day sheet on a page."""

import datetime as dt
import io
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pypdf
import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, Page, expect, sync_playwright

from intake import drain
from intake.models import Order
from intake.stations import Station
from shop.bench import work
from shop.models import WorkSession
from tests import walk
from tests.browser import walking

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# As a scanner types: each key down and up at once, then Enter; what the page leaves alone the browser does.
BURST = """text => { for (const key of ["Shift", ...text, "Enter"]) {
  const place = document.activeElement;
  const left = place.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
  if (!left || !place.matches("input, textarea")) continue;
  if (key === "Enter") place.form.requestSubmit(); else if (key.length === 1) place.setRangeText(key, place.value.length, place.value.length, "end");
} }"""


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def faults() -> list[str]:
    return []


@pytest.fixture
def page(browser: Browser, bench: SimpleNamespace, live_server: Any, faults: list[str]) -> Iterator[Page]:
    client = Client()
    client.force_login(bench.technician)
    opened = walking.open_page(browser, walking.DESK, faults)
    opened.context.add_cookies(
        [{"name": name, "value": one.value, "url": live_server.url} for name, one in client.cookies.items()]
    )
    yield opened
    assert faults == []
    opened.context.close()


def running() -> tuple[str, str] | None:
    row = WorkSession.objects.filter(ended_at__isnull=True).select_related("order").first()
    return (row.order.code, row.kind) if row else None


def scan(page: Page, text: str) -> None:
    with page.expect_navigation():
        page.evaluate(BURST, text)


def test_minutes_by_key_and_by_scan(page: Page, bench: SimpleNamespace, live_server: Any) -> None:
    at, by = drain.now(), bench.technician
    one, two = (walk.to(walk.request(at=at), Station.REPAIR, by=by, at=at) for _ in range(2))
    page.goto(f"{live_server.url}/bench/")
    scan(page, one.code)
    walking.key(page, "F7")
    assert running() == (one.code, "repair")
    scan(page, "GO-TALK")
    assert running() == (one.code, "talk")
    scan(page, two.code)
    expect(page.get_by_role("button", name="Switch the minutes here")).to_be_visible()
    scan(page, "GO-TEST")
    assert running() == (two.code, "test")
    expect(page.locator("#notices")).to_contain_text(f"Stopped on {one.code} after 1 minute.")
    page.locator("#reading_line").focus()
    page.keyboard.insert_text("half a line ")
    scan(page, "GO-STOP")
    assert running() is None
    page.goto(f"{live_server.url}/bench/")
    scan(page, "GO-STOP")
    expect(page.get_by_role("heading", level=1)).to_have_text("Stop the minutes")


def test_question_comes_by_itself_when_it_is_time(
    page: Page, bench: SimpleNamespace, live_server: Any
) -> None:
    at = drain.now()
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    begun = at - dt.timedelta(minutes=19, seconds=30)
    session = work.start(order=order, kind="look", by=bench.technician, at=begun)
    page.clock.install()
    page.goto(f"{live_server.url}/stock/")
    question = page.locator(".still-on-it")
    expect(question).to_be_hidden()
    page.clock.run_for(60_000)
    expect(question).to_be_visible()
    assert not Axe().run(page).violations_count
    with page.expect_navigation():
        question.get_by_role("button", name="Stop at").click()
    session.refresh_from_db()
    assert (session.ended_at, page.url) == (session.started_at, f"{live_server.url}/stock/")


def test_bags_are_counted_by_keyboard_and_targets_are_large(
    page: Page, bench: SimpleNamespace, live_server: Any
) -> None:
    at = drain.now()
    orders = [walk.receive(walk.request(at=at), by=bench.technician, at=at) for _ in range(3)]
    page.set_viewport_size(walking.PHONE)  # type: ignore[arg-type]
    page.goto(f"{live_server.url}/bench/bags/")
    for bag in (Order.objects.get(pk=order.pk).bag for order in orders):
        page.keyboard.type(bag)
        walking.key(page, "Enter")
    expect(page.locator(".lede")).to_contain_text("3 of 3 bags found")
    assert page.evaluate("document.documentElement.scrollWidth") <= walking.PHONE["width"]
    small = page.evaluate(
        "[...document.querySelectorAll('main button.act, main button.act-plain, main input:not([type=hidden]), main summary')]"
        ".filter(one => one.offsetParent && one.getBoundingClientRect().height < 48).map(one => one.outerHTML)"
    )
    assert small == []
    walking.key(page, "F9")
    expect(page.locator("main")).to_contain_text("all 3 here")


def test_day_sheet_prints_on_one_page(page: Page, bench: SimpleNamespace, live_server: Any) -> None:
    at, by = drain.now(), bench.technician
    for number in range(25):
        station = (Station.DIAGNOSIS, Station.GO_AHEAD, Station.REPAIR)[number % 3]
        walk.to(walk.request(at=at), station, by=by, at=at)
    page.goto(f"{live_server.url}/bench/")
    assert len(pypdf.PdfReader(io.BytesIO(page.pdf(format="A4"))).pages) == 1
