"""The shop's pages in a real browser: taken in by keyboard and scanner, audited at phone and desk width, by bench light."""

import io
import os
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings as shop_settings
from django.test import Client
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from intake import questions
from intake.models import Order
from intake.stations import Station
from tests import walk

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
]
SHOTS = os.environ.get("BENCHPOST_SHOTS")


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def site(browser: Browser, bench: SimpleNamespace, live_server: Any) -> SimpleNamespace:
    """The shop is set up and served; `.url` and its `.technician`."""
    return SimpleNamespace(url=str(live_server.url), technician=bench.technician)


def signed_in(browser: Browser, site: SimpleNamespace, **window: Any) -> BrowserContext:
    client = Client()
    client.force_login(site.technician)
    context = browser.new_context(**window)
    context.set_default_timeout(8000)
    name = shop_settings.SESSION_COOKIE_NAME
    context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": site.url}])
    return context


@pytest.fixture(params=[390, 1280])
def page(browser: Browser, site: SimpleNamespace, request: pytest.FixtureRequest) -> Iterator[Page]:
    context = signed_in(browser, site, viewport={"width": request.param, "height": 844})
    page, faults = context.new_page(), []
    page.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    yield page
    context.close()
    assert [fault for fault in faults if "422" not in fault and "404" not in fault] == []


def look(page: Page, name: str) -> None:
    width = page.viewport_size["width"] if page.viewport_size else 0
    if SHOTS:
        page.screenshot(path=f"{SHOTS}/staff-{name}-{width}.png", full_page=True)
    found = Axe().run(page)
    assert found.violations_count == 0, f"{name}: {found.generate_report()}"
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= width, f"{name} is {wide} wide"


def picture(folder: Path) -> str:
    path = folder / "box.jpg"
    out = io.BytesIO()
    Image.new("RGB", (320, 240), (140, 120, 90)).save(out, "JPEG")
    path.write_bytes(out.getvalue())
    return str(path)


def test_lists_and_doors_pass_the_audit(page: Page, site: SimpleNamespace, at: datetime) -> None:
    page.goto(f"{site.url}/bench/")
    look(page, "day-sheet-empty")
    by = site.technician
    walk.receive(walk.request(at=at), by=by, at=at)
    asked = walk.to(walk.request(at=at), Station.GO_AHEAD, by=by, at=at)
    questions.ask(order=asked, text="Will my photos survive?", form_key="q", at=at)
    walk.to(walk.request(at=at), Station.GO_AHEAD, by=by, at=at)
    walk.to(walk.request(at=at), Station.REPAIR, by=by, at=at)
    walk.receive(walk.request(at=at), by=by, at=at, cell_state="swollen")
    Order.objects.filter(pk=walk.request(at=at).pk).update(posted_at=at)
    for path, name in (
        ("/bench/", "day-sheet"),
        ("/receiving/", "receiving"),
        ("/find/?q=mara", "find-several"),
        ("/find/?q=K7M4-0000", "find-nothing"),
        (f"/sheet/{asked.code}/", "sheet-50"),
    ):
        page.goto(f"{site.url}{path}")
        look(page, name)
    page.context.clear_cookies()
    page.goto(f"{site.url}/sign-in/")
    page.get_by_role("button", name="Sign in").click()
    look(page, "sign-in-wrong")


@pytest.mark.parametrize("path", ["/bench/", "/out/"])
def test_code_typed_by_hand_opens_its_sheet_without_a_field_being_chosen(
    page: Page, site: SimpleNamespace, at: datetime, path: str
) -> None:
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=site.technician, at=at)
    page.goto(f"{site.url}{path}")
    look(page, f"typed-{path.strip('/')}")
    page.keyboard.type(order.code.lower(), delay=60)
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/sheet/{order.code}/")


@pytest.mark.parametrize("station", [Station.GOODS_IN, Station.DIAGNOSIS, Station.WAY_HOME, Station.HOME])
def test_sheet_passes_the_audit(page: Page, site: SimpleNamespace, at: datetime, station: Station) -> None:
    order = walk.to(walk.request(at=at), station, by=site.technician, at=at)
    page.goto(f"{site.url}/sheet/{order.code}/")
    look(page, f"sheet-{int(station)}")


def test_parcel_is_taken_in_by_scanner_and_keyboard(
    page: Page, site: SimpleNamespace, at: datetime, tmp_path: Path
) -> None:
    order = walk.request(at=at)
    page.goto(f"{site.url}/receiving/")
    page.keyboard.type(order.code)
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/sheet/{order.code}/")
    page.locator("#goods-in [name=parcel_state][value=sound]:focus").wait_for()
    page.keyboard.press("Space")
    page.locator("#id_outside").set_input_files(picture(tmp_path))
    page.get_by_label("Phone", exact=True).check()
    page.locator("#id_serial_read").fill("WRONG-1")
    page.locator("#id_serial_read").press("Tab")
    page.get_by_text("The serial is not the one on the form.").wait_for()
    page.locator("#id_serial_read").fill("ZZ 0417")
    page.locator("#id_serial_read").press("Tab")
    page.get_by_text("The serial is the one on the form.").wait_for()
    page.keyboard.press("F9")
    page.locator("#errors").wait_for()
    look(page, "goods-in-wrong")
    page.get_by_label("Sound: flat, cool, no smell").check()
    page.keyboard.press("F9")
    page.get_by_text("Taken in, in bag B-01.").wait_for()
    look(page, "goods-in-signed")
    order.refresh_from_db()
    assert order.at_station is Station.DIAGNOSIS
    assert order.photos.count() == 1


def test_parcel_is_taken_in_without_script(
    browser: Browser, site: SimpleNamespace, at: datetime, tmp_path: Path
) -> None:
    context = signed_in(browser, site, java_script_enabled=False)
    page, order = context.new_page(), walk.request(at=at)
    page.goto(f"{site.url}/receiving/")
    page.locator("#parcel").fill(order.code.lower())
    page.get_by_role("button", name="Open its sheet").click()
    page.get_by_label("Dented", exact=True).check()
    page.get_by_label("Sound: flat, cool, no smell").check()
    page.locator("#id_opening").set_input_files(picture(tmp_path))
    page.get_by_role("button", name="Sign: taken in").click()
    assert "Taken in, in bag B-01." in page.content()
    context.close()


def test_sheet_by_bench_light_passes_the_audit(browser: Browser, site: SimpleNamespace, at: datetime) -> None:
    context = signed_in(browser, site, viewport={"width": 1280, "height": 844})
    context.add_cookies([{"name": "light", "value": "bench", "url": site.url}])
    page, order = context.new_page(), walk.request(at=at)
    page.goto(f"{site.url}/sheet/{order.code}/")
    look(page, "bench-light")
    page.goto(f"{site.url}/bench/")
    look(page, "bench-light-day-sheet")
    context.close()
