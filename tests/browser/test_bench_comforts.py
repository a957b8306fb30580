"""The script at the bench: scanner, keys, kept text, light. Pages come from the real templates, under the real policy."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.staticfiles import finders
from django.template import engines
from playwright.sync_api import Browser, Page, Request, Route, sync_playwright

from shop.guard import policy_line

pytestmark = pytest.mark.browser

SITE = "http://bench.test"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
]
FRAME = {
    "house_name": "Quillmere Bench",
    "demo": True,
    "scan_url": "/find",
    "light_url": "/light",
    "light_cookie": "light",
    "sign_out_url": "/out",
    "nav": [{"label": "Day sheet", "url": "/day", "here": True}],
}
SHEET = {
    "code": "K7M4-3TX9",
    "stations": [
        {"number": 20, "name": "Goods in", "state": "signed", "signs": [("RS", "Mon 2 Feb", 6)]},
        {"number": 30, "name": "Diagnosis", "state": "here", "signs": [], "sign_form": "diagnosis"},
        {"number": 40, "name": "Quote", "state": "later"},
    ],
}
RAIL = {
    "station": 30,
    "name": "Diagnosis",
    "keys": [{"words": "Reading", "key": "F2", "target": "read"}],
    "sign": {"words": "Sign", "form": "diagnosis"},
}
BODY = """<form id="diagnosis" method="post" action="/sign" data-autosave="/keep" data-keep="K7M4-3TX9:30">
<input type="hidden" name="csrfmiddlewaretoken" value="token"><input type="hidden" name="version" value="3">
<label for="read">Read</label><input id="read" name="read"><label for="found">Found</label><textarea id="found" name="found"></textarea>
<div data-private><label for="lock">Lock</label><input id="lock" name="lock"></div><p data-saved></p></form>"""
SCAN = """text => {
  const place = document.activeElement;
  for (const key of [...text, "Enter"]) {
    const go = place.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
    if (go && key.length === 1 && "value" in place) place.setRangeText(key, place.value.length, place.value.length, "end");
  }
}"""
PAGE = (
    "{% extends 'frame/staff.html' %}{% block title %}Sheet{% endblock %}"
    "{% block content %}{% include 'frame/sheet.html' %}{% endblock %}{% block rail %}{% include 'frame/rail.html' %}{% endblock %}"
)


class Bench:
    """The page under test and all that it sent."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.sent: list[Request] = []
        self.answer: dict[str, object] = {
            "status": 200,
            "content_type": "application/json",
            "body": '{"version": 4}',
        }
        self.faults: list[str] = []
        self.empty = ""
        page.on("console", lambda line: self.faults.append(line.text) if line.type == "error" else None)
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.route("**/*", self._serve)

    def _serve(self, route: Route, request: Request) -> None:
        path = unquote(urlsplit(request.url).path)
        if path.startswith("/static/"):
            route.fulfill(path=str(finders.find(path.removeprefix("/static/"))))
        elif path == "/sheet":
            body = engines["django"].from_string(BODY)
            sheet = {
                **SHEET,
                "stations": [dict(s, template=body) if s["number"] == 30 else s for s in SHEET["stations"]],
            }
            html = engines["django"].from_string(PAGE).render({"frame": FRAME, "sheet": sheet, "rail": RAIL})
            route.fulfill(
                body=html, content_type="text/html", headers={"Content-Security-Policy": policy_line()}
            )
        else:
            self.sent.append(request)
            if path == self.empty:
                route.fulfill(status=204)
            elif path == "/keep" and self.answer:
                route.fulfill(**self.answer)  # type: ignore[arg-type]
            elif path == "/keep":
                route.abort()
            else:
                route.fulfill(body="<!doctype html><title>Elsewhere</title>", content_type="text/html")

    def open(self) -> None:
        self.page.goto(f"{SITE}/sheet")

    def scan(self, text: str) -> None:
        """Keys in one burst, as a scanner sends them; through the page, since a busy machine would stretch the gaps."""
        self.page.evaluate(SCAN, text)

    def kept(self) -> dict[str, object]:
        kept: dict[str, object] = json.loads(
            self.page.evaluate("localStorage.getItem('bench:kept:K7M4-3TX9:30')") or "{}"
        )
        return kept

    def wait_for(self, words: str) -> None:
        self.page.locator("[data-saved]", has_text=words).wait_for(timeout=4000)


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=str(chromium), args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def bench(browser: Browser) -> Iterator[Bench]:
    context = browser.new_context()
    context.set_default_timeout(5000)
    bench = Bench(context.new_page())
    bench.open()
    yield bench
    context.close()


def test_scan_outside_a_field_opens_the_sheet(bench: Bench) -> None:
    bench.scan("K7M43TX9")
    bench.page.wait_for_url(f"{SITE}/find?q=K7M43TX9")


def test_slow_typing_outside_a_field_is_no_scan(bench: Bench) -> None:
    bench.page.keyboard.type("K7M43TX9", delay=60)
    bench.page.keyboard.press("Enter")
    bench.page.wait_for_timeout(150)
    assert bench.page.url == f"{SITE}/sheet"


def test_scan_inside_a_field_opens_the_sheet_and_leaves_the_text(bench: Bench) -> None:
    bench.page.fill("#found", "Short on the main line.")
    bench.page.focus("#found")
    bench.scan("K7M4-3TX9")
    bench.page.wait_for_url(f"{SITE}/find?q=K7M4-3TX9")
    assert bench.kept()["fields"] == {"read": [""], "found": ["Short on the main line."]}


def test_command_of_the_card_leads_on_from_inside_a_field(bench: Bench) -> None:
    bench.page.focus("#found")
    bench.scan("GO-REPAIR")
    bench.page.wait_for_url(f"{SITE}/find?q=GO-REPAIR")


def test_fast_words_inside_a_field_stay_words(bench: Bench) -> None:
    bench.page.focus("#found")
    bench.scan("capacitor")
    assert bench.page.input_value("#found") == "capacitor"
    assert bench.page.url == f"{SITE}/sheet"


@pytest.mark.parametrize("key", ["F7", "F15"])
def test_minutes_key_presses_its_button(bench: Bench, key: str) -> None:
    bench.page.evaluate(
        "document.body.insertAdjacentHTML('beforeend', '<form method=post action=/minutes><button data-key=F7>Go</button></form>')"
    )
    with bench.page.expect_navigation():
        bench.page.evaluate(
            "key => document.body.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true}))", key
        )
    assert bench.page.url == f"{SITE}/minutes"


@pytest.mark.parametrize("key", ["F2", "F14"])
def test_reading_key_goes_to_the_field(bench: Bench, key: str) -> None:
    # A browser here sends no F13 and up: the pedal's key is told to the page as the system would.
    bench.page.evaluate(
        "key => document.body.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true}))", key
    )
    assert bench.page.evaluate("document.activeElement.id") == "read"


def test_sign_key_sends_the_station(bench: Bench) -> None:
    bench.page.keyboard.press("F9")
    bench.page.wait_for_url("**/sign")
    assert "sign=30" in (bench.sent[-1].post_data or "")


def test_keys_switched_off_stay_off(bench: Bench) -> None:
    bench.page.click("[data-keys-open]")
    bench.page.check("[data-keys-off]")
    bench.open()
    bench.page.keyboard.press("F9")
    bench.page.wait_for_timeout(100)
    assert bench.page.url == f"{SITE}/sheet"


def test_text_is_kept_on_the_server_when_the_field_is_left(bench: Bench) -> None:
    bench.page.fill("#found", "Short.")
    assert bench.kept()["fields"] == {"read": [""], "found": ["Short."]}
    bench.page.focus("#read")
    bench.wait_for("Kept as you type.")
    sent = bench.sent[-1].post_data or ""
    assert "csrfmiddlewaretoken=token" in sent
    assert "version=3" in sent
    assert bench.kept() == {}
    assert bench.page.input_value("[name=version]") == "4"


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ({"status": 403, "body": ""}, "Signed out. Your text is kept on this machine."),
        (
            {"status": 302, "headers": {"Location": "/in"}, "body": ""},
            "Signed out. Your text is kept on this machine.",
        ),
        ({"status": 409, "body": ""}, "This sheet was changed somewhere else."),
        ({}, "No connection. Your text is kept on this machine."),
    ],
)
def test_text_that_cannot_be_sent_waits_on_this_machine(
    bench: Bench, answer: dict[str, object], words: str
) -> None:
    bench.answer = answer
    bench.page.fill("#found", "Short.")
    bench.page.fill("#lock", "1234")
    bench.page.focus("#read")
    bench.wait_for(words)
    bench.open()
    kept = bench.page.locator(".kept")
    assert re.search(r"Kept on this machine \d\d:\d\d", kept.inner_text())
    assert "1234" not in json.dumps(bench.kept())
    kept.get_by_role("button", name="Use it").click()
    assert bench.page.input_value("#found") == "Short."


def test_kept_text_can_be_dropped(bench: Bench) -> None:
    bench.answer = {}
    bench.page.fill("#found", "Short.")
    bench.open()
    bench.page.get_by_role("button", name="Drop it").click()
    bench.open()
    assert bench.page.locator(".kept").count() == 0


def test_two_presses_send_once(bench: Bench) -> None:
    # An answer without a page leaves the form in front of the hands, so a second press could send it again.
    bench.empty = "/sign"
    for _ in range(2):
        bench.page.click(".rail .go")
        bench.page.wait_for_timeout(150)
    assert len([request for request in bench.sent if request.url.endswith("/sign")]) == 1


def test_bench_light_is_switched_without_a_page_and_kept(bench: Bench) -> None:
    bench.page.click("[data-light-switch]")
    assert bench.page.get_attribute("html", "data-light") == "bench"
    assert {c["name"]: c["value"] for c in bench.page.context.cookies()} == {"light": "bench"}
    assert bench.page.inner_text("[data-light-switch]") == "Day light"
    assert bench.sent == []


@pytest.mark.parametrize("width", [320, 390, 1280])
@pytest.mark.parametrize("light", ["day", "bench"])
def test_sheet_fits_its_window_and_passes_the_audit(bench: Bench, width: int, light: str) -> None:
    """Audit by axe-core, all its rules; reflow at 320 px by WCAG 2.2, 1.4.10."""
    bench.page.set_viewport_size({"width": width, "height": 900})
    if light == "bench":
        bench.page.click("[data-light-switch]")
    assert bench.page.evaluate("document.documentElement.scrollWidth") <= width
    found = Axe().run(bench.page).response["violations"]
    assert [(fault["id"], [node["html"] for node in fault["nodes"]]) for fault in found] == []
    assert bench.faults == []
