"""The request in a real browser: on a phone with script, on a desk without, by keyboard, each page audited."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from intake import drafting
from intake.models import Draft, Letterhead, Order
from tests.intake import request_walk as walk

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
def site(browser: Browser, letterhead: Letterhead, live_server: Any, settings: Any) -> str:
    letterhead.symptoms = ["No picture", "Does not charge", "Gets warm", "No sound"]
    letterhead.terms = "We look for the fault first.\n\nThen we tell you one price."
    letterhead.storage_words = "Storage is free for 30 days, then $1.00 a day."
    letterhead.no_fix_words = "No fix, no fee for the work. The post back is $12.00."
    letterhead.save()
    settings.SITE_ADDRESS = live_server.url
    return str(live_server.url)


class Audit:
    """A page in a window of one width, and all that went wrong on it."""

    def __init__(self, page: Page, width: int) -> None:
        self.page, self.width, self.faults = page, width, []
        page.on("console", lambda line: self.faults.append(line.text) if line.type == "error" else None)
        page.on("pageerror", lambda error: self.faults.append(str(error)))

    def look(self, name: str) -> None:
        found = Axe().run(self.page)
        assert found.violations_count == 0, f"{name}: {found.generate_report()}"
        wide = self.page.evaluate("document.documentElement.scrollWidth")
        assert wide <= self.width, f"{name} is {wide} wide"
        if SHOTS:
            self.page.screenshot(path=f"{SHOTS}/{name}-{self.width}.png", full_page=True)


@pytest.fixture(params=[390, 1280])
def audit(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Audit]:
    context = browser.new_context(viewport={"width": request.param, "height": 844})
    context.set_default_timeout(20000)
    audit = Audit(context.new_page(), request.param)
    yield audit
    context.close()
    bad = [fault for fault in audit.faults if "422" not in fault and "404" not in fault]
    assert bad == []


def put(page: Page, slug: str) -> None:
    """Fill one page with the good answers, as a person would."""
    for name, value in walk.GOOD[slug].items():
        for each in value if isinstance(value, list) else [value]:
            field = page.locator(f"[name={name}]")
            kind = field.first.get_attribute("type")
            if kind in ("radio", "checkbox"):
                page.locator(f'[name={name}][value="{each}"]').check()
            elif field.evaluate("field => field.tagName") == "SELECT":
                field.select_option(each)
            else:
                field.fill(each)


def go_on(page: Page) -> None:
    page.get_by_role("button", name="Continue").click()


def test_whole_request_on_a_phone_and_on_a_desk(site: str, audit: Audit, tmp_path: Path) -> None:
    page = audit.page
    page.goto(site)
    audit.look("front")
    page.get_by_role("link", name="Start a request").click()
    for slug in walk.GOOD:
        page.wait_for_url(f"**/request/{slug}/*")
        audit.look(slug)
        if slug in ("device", "symptoms", "battery", "you"):
            go_on(page)
            page.locator("#errors:focus").wait_for()
            audit.look(f"{slug}-error")
        if slug == "you":
            page.select_option("[name=country]", "US")
            page.get_by_role("button", name="Change country").click()
            page.get_by_label("ZIP Code").wait_for()
        if slug == "photos":
            Image.new("RGB", (640, 480), "#557755").save(tmp_path / "board.jpg")
            page.set_input_files("[name=photos]", tmp_path / "board.jpg")
            page.get_by_role("button", name="Add these photos").click()
            page.get_by_role("button", name="Remove photo 1").wait_for()
            audit.look("photos-kept")
        put(page, slug)
        go_on(page)
    page.wait_for_url("**/request/check/*")
    audit.look("check")
    page.get_by_role("button", name="Send the request").click()
    page.locator("#errors").wait_for()
    audit.look("check-error")
    Draft.objects.update(started_at=Draft.objects.get().started_at - drafting.FASTEST)
    page.get_by_label("I have read the terms").check()
    page.get_by_role("button", name="Send the request").click()
    page.wait_for_url("**/your/*/#top")
    order = Order.objects.get()
    assert page.url == f"{site}/your/{order.code}/#top"
    assert order.photos.count() == 1


def test_doubtful_battery_stops_the_request(site: str, audit: Audit) -> None:
    page = audit.page
    page.goto(f"{site}/request/")
    for slug in ("device", "symptoms", "idea", "before", "data"):
        page.wait_for_url(f"**/request/{slug}/*")
        put(page, slug)
        go_on(page)
    page.wait_for_url("**/request/battery/*")
    page.locator("[value=swollen]").check()
    go_on(page)
    page.wait_for_url("**/do-not-post/#top")
    audit.look("do-not-post")
    page.goto(f"{site}/request/resume/unknown/")
    audit.look("draft-gone")


def test_text_is_kept_while_it_is_typed(site: str, audit: Audit) -> None:
    page = audit.page
    page.goto(f"{site}/request/")
    put(page, "device")
    go_on(page)
    page.fill("[name=words]", "It went dark in the rain")
    page.focus("[name=symptoms] >> nth=0")
    page.locator("[data-saved]", has_text="Kept as you type").wait_for()
    page.goto(f"{site}/request/")
    assert page.input_value("[name=words]") == "It went dark in the rain"
    assert page.locator(".kept").count() == 0


def test_whole_request_without_script_by_enter_alone(site: str, browser: Browser) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{site}/request/")
    for slug in walk.GOOD:
        page.wait_for_url(f"**/request/{slug}/*")
        put_without_script(page, slug)
        if slug in ("device", "box", "limit", "you"):
            page.locator("form input:is([type=text], [type=email])").first.press("Enter")
        else:
            go_on(page)
    page.wait_for_url("**/request/check/*")
    Draft.objects.update(started_at=Draft.objects.get().started_at - drafting.FASTEST)
    page.get_by_label("I have read the terms").check()
    page.get_by_role("button", name="Send the request").click()
    page.wait_for_url("**/your/*/#top")
    assert Order.objects.get().words == "Rings but nobody hears me."
    context.close()


def put_without_script(page: Page, slug: str) -> None:
    if slug == "you":
        page.select_option("[name=country]", "US")
        page.get_by_role("button", name="Change country").click()
        page.wait_for_url("**/you/#id_country")
    put(page, slug)
