"""What a customer and the shop's people do on the real pages, for walks in a real browser."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from PIL import Image
from playwright.sync_api import Browser, Page

from intake import drafting
from intake.letters import readable
from intake.models import Draft, Letter, Order
from tests.intake import request_walk

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
]
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}
# Pages that answer an expected error with its status leave a line in the browser's console.
EXPECTED = ("422", "409", "404")


def open_page(browser: Browser, size: dict[str, int], faults: list[str], **more: Any) -> Page:
    """A page in a fresh context, with nobody signed in; what goes wrong in its script is added to `faults`."""
    context = browser.new_context(viewport=size, **more)  # type: ignore[arg-type]
    context.set_default_timeout(15000)
    page = context.new_page()
    page.on("console", lambda line: faults.append(line.text) if _is_fault(line) else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    return page


def _is_fault(line: Any) -> bool:
    return line.type == "error" and not any(status in line.text for status in EXPECTED)


def press(page: Page, name: str, *, inside: str = "body") -> None:
    """Press a button that brings a new page."""
    with page.expect_navigation():
        page.locator(inside).get_by_role("button", name=name, exact=True).click()


def key(page: Page, name: str) -> None:
    with page.expect_navigation():
        page.keyboard.press(name)


def picture(folder: Path, name: str) -> Path:
    path = folder / f"{name}.jpg"
    Image.new("RGB", (640, 480), "#557755").save(path)
    return path


def put(page: Page, slug: str, **changes: Any) -> None:
    """Fill one page of the request with good answers, but for the changes."""
    for name, value in {**request_walk.GOOD[slug], **changes}.items():
        for each in value if isinstance(value, list) else [value]:
            field = page.locator(f"[name={name}]")
            if field.first.get_attribute("type") in ("radio", "checkbox"):
                page.locator(f'[name={name}][value="{each}"]').check()
            elif field.evaluate("field => field.tagName") == "SELECT":
                field.select_option(each)
            else:
                field.fill(each)


def ask(
    page: Page,
    site: str,
    *,
    also: dict[str, Callable[[Page], None]] | None = None,
    **changes: dict[str, Any],
) -> Order:
    """A whole request from the front page on. `also`: what to do on a page before its answers are put in."""
    page.goto(site)
    page.get_by_role("link", name="Start a request").click()
    for slug in request_walk.GOOD:
        page.wait_for_url(f"**/request/{slug}/*")
        if also and slug in also:
            also[slug](page)
        if slug == "you":
            page.select_option("[name=country]", "US")
            press(page, "Change country")
        put(page, slug, **changes.get(slug, {}))
        press(page, "Continue")
    page.wait_for_url("**/request/check/*")
    # A person needs longer than this test; a request faster than any hand is turned away.
    draft = Draft.objects.latest("pk")
    Draft.objects.filter(pk=draft.pk).update(started_at=draft.started_at - drafting.FASTEST)
    page.get_by_label("I have read the terms").check()
    press(page, "Send the request")
    page.wait_for_url("**/your/*/#top")
    return Order.objects.get(code=page.url.split("/your/")[1].split("/")[0])


def link_in(order: Order, kind: str) -> str:
    """The path of the link as the customer reads it in the newest letter of that kind."""
    letter = Letter.objects.filter(order=order, kind=kind).latest("pk")
    found = re.search(r"https?://\S+/l/[\w-]+/", readable(letter, "text"))
    assert found, f"the letter {kind} has no link"
    return urlsplit(found[0]).path


def sign_in(page: Page, site: str, name: str, password: str) -> None:
    page.goto(f"{site}/sign-in/")
    page.locator("#id_username").fill(name)
    page.locator("#id_password").fill(password)
    press(page, "Sign in")


def scan(page: Page, code: str) -> None:
    """The scanner's keys in the field that every page has."""
    page.locator("#scan").focus()
    page.keyboard.type(code)
    key(page, "Enter")
    page.wait_for_url(f"**/sheet/{code}/")


def line(page: Page, at: str, words: str) -> None:
    """Press a key of the rail, type into the field it leads to, and press Enter."""
    page.keyboard.press(at)
    page.keyboard.type(words)
    key(page, "Enter")


def read(page: Page, words: str) -> None:
    """A reading by key: it stands on the sheet without a new page."""
    page.keyboard.press("F2")
    page.keyboard.type(words)
    page.keyboard.press("Enter")
    page.locator("[data-echo]").get_by_text("Written.").wait_for()


def paper(page: Page, name: str) -> bytes:
    """The paper behind a link of this page, fetched as this person."""
    address = page.get_by_role("link", name=name).first.get_attribute("href")
    assert address, name
    answer = page.request.get(f"{_root(page)}{address}")
    assert answer.headers["content-type"] == "application/pdf"
    return answer.body()


def _root(page: Page) -> str:
    parts = urlsplit(page.url)
    return f"{parts.scheme}://{parts.netloc}"


def take_in(page: Page, folder: Path, *, serial: str) -> None:
    """Station 20 on the open sheet, photos and battery looked at; signed by key."""
    page.get_by_label("Sound", exact=True).check()
    page.locator("#id_outside").set_input_files(picture(folder, "box"))
    for box in page.locator("[name=contents]").all():
        box.check()
    page.locator("#id_opening").set_input_files(picture(folder, "open-box"))
    page.locator("#id_serial_read").fill(serial)
    page.get_by_label("Sound: flat, cool, no smell").check()
    page.locator("#id_weight_grams").fill("310")
    page.locator("#id_minutes").fill("6")
    key(page, "F9")
    page.get_by_text("Taken in, in bag").wait_for()


def find_out(page: Page) -> None:
    """Station 30: minutes, one reading by key, the finding; signed by key."""
    press(page, "Start the minutes")
    read(page, "microphone bias d OL")
    page.locator("#finding_fault_class").fill("torn pad")
    page.locator("#finding_words").fill("The microphone is good. Its line is broken.")
    for explained in page.locator("#finding [name^=symptom_][value=yes]").all():
        explained.check()
    if page.get_by_label("Not the cause").count():
        page.get_by_label("Not the cause").check()
    page.locator("[name=mendable][value=yes]").check()
    key(page, "F9")


def offer(page: Page) -> None:
    """Station 40: a remedy and a part by key, looked over, sent."""
    line(page, "F2", "Fit jumper wire")
    line(page, "F4", "WIRE-002")
    key(page, "F9")
    page.wait_for_url("**/quote/review/")
    press(page, "Send the quote F9")


def decide(page: Page, choice: str, button: str, *, name: str) -> None:
    """Station 50 in the customer's window: choose, read once more, type the name, press."""
    page.get_by_label(choice).check()
    press(page, "Continue")
    page.get_by_label("Your name").fill(name)
    with page.expect_navigation():
        page.get_by_role("button", name=button).click()


def pack(page: Page, *, tracking: str, weight: str = "310") -> None:
    """Station 80, nothing owed any more: packed, looked over, sent."""
    for box in page.locator("#pack [name=contents], #pack [name=checked]").all():
        box.check()
    page.locator("#pack_weight_grams").fill(weight)
    page.locator("#pack_carrier").fill("Surface post")
    page.locator("#pack_tracking").fill(tracking)
    page.locator("#pack_minutes").fill("5")
    key(page, "F9")
    page.get_by_text("Look it over. A parcel that was sent cannot be called back.").wait_for()
    press(page, "Send it now", inside="#pack")
