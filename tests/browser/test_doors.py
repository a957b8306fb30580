"""Somebody sets up a second step, signs out, and comes in by a code and by the printed list; audited at two widths."""

import os
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

from intake import drain
from shop.demo.base import PASSWORDS
from shop.doors import factor, one_time
from shop.models import SecondFactor
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


def look(page: Page, name: str) -> None:
    """Both widths, all rules of axe-core, nothing sideways."""
    for size in (walking.PHONE, walking.DESK):
        page.set_viewport_size(size)
        if SHOTS:
            page.screenshot(path=f"{SHOTS}/doors-{name}-{size['width']}.png", full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], name
    found = Axe().run(page)
    assert found.violations_count == 0, f"{name}: {found.generate_report()}"


def code_now() -> str:
    row = SecondFactor.objects.get()
    SecondFactor.objects.filter(confirmed_at__isnull=False).update(last_step=0)
    return one_time.code_at(factor.secret_of(row), one_time.step_at(drain.now().timestamp()))


def test_second_step_from_setting_up_to_the_printed_list(
    browser: Browser, bench: SimpleNamespace, live_server: Any, settings: Any
) -> None:
    settings.SITE_ADDRESS, settings.TWO_FACTOR = live_server.url, "owner"
    faults: list[str] = []
    page, site = walking.open_page(browser, walking.PHONE, faults), live_server.url
    walking.sign_in(page, site, "ansel", PASSWORDS["ansel"])
    page.wait_for_url("**/sign-in/second/**")
    look(page, "asked")
    walking.press(page, "Set it up now")
    look(page, "picture")
    page.get_by_label("Code of your phone").fill(code_now())
    walking.press(page, "Switch it on")
    lines = page.locator(".recovery li").all_inner_texts()
    assert len(lines) == 10
    look(page, "list")
    page.get_by_role("link", name="I have them on paper").click()
    look(page, "mine")
    page.goto(f"{site}/settings/came-in/")
    look(page, "came-in")
    page.get_by_role("button", name="Sign out").click()
    walking.sign_in(page, site, "ansel", PASSWORDS["ansel"])
    page.wait_for_url("**/sign-in/code/")
    look(page, "code")
    page.get_by_label("Code of your phone").fill(code_now())
    walking.press(page, "Sign in")
    page.wait_for_url("**/bench/")
    page.goto(f"{site}/sign-in/again/")
    look(page, "again")
    page.goto(f"{site}/bench/")
    page.get_by_role("button", name="Sign out").click()
    walking.sign_in(page, site, "ansel", PASSWORDS["ansel"])
    page.get_by_role("link", name="The phone is not here").click()
    look(page, "from-list")
    page.get_by_label("Recovery code").fill(lines[3])
    walking.press(page, "Sign in")
    page.wait_for_url("**/bench/")
    assert factor.codes_left(bench.owner) == 9
    assert not faults
