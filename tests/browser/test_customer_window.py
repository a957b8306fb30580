"""The customer's window in a real browser, in every state: no accessibility fault, no sideways scroll, a yes by keyboard."""

import io
import os
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from intake import album, drain, lifecycle, questions, tokens
from intake.models import Order
from intake.stations import SlipReason, Station
from quotes import billing, offers, payments
from quotes.models import Decision, Finding, Part
from shop.returns import out
from tests import walk
from tests.window_pages import several_ways

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


@pytest.fixture(params=[390, 1280])
def page(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": request.param, "height": 844})
    context.set_default_timeout(8000)
    faults: list[str] = []
    page = context.new_page()
    page.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    yield page
    context.close()
    assert [
        fault for fault in faults if "404" not in fault and "409" not in fault and "422" not in fault
    ] == []


def open_window(page: Page, order: Order, site: Any) -> None:
    path = urlsplit(tokens.address_of(tokens.give_link(order, at=drain.now()))).path
    page.goto(f"{site.url}{path}")
    assert urlsplit(page.url).path == f"/your/{order.code}/"


def audit(page: Page, name: str) -> None:
    for fold in page.locator("details").all():
        fold.evaluate("fold => fold.open = true")
    found = Axe().run(page)
    assert found.violations_count == 0, f"{name}: {found.generate_report()}"
    width = page.viewport_size["width"] if page.viewport_size else 0
    assert page.evaluate("document.documentElement.scrollWidth") <= width, f"{name} is too wide"
    if SHOTS:
        page.screenshot(path=f"{SHOTS}/window-{name}-{width}.png", full_page=True)


def picture(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(out, "JPEG")
    return out.getvalue()


def photographed(order: Order) -> None:
    for role, colour in (("opening", "#6a7a80"), ("fault", "#44604f"), ("after", "#806a5a")):
        album.add_photo(
            content=picture(colour), role=role, by="pim", at=drain.now(), order=order, shown=True,
            caption="The torn pad under the microscope" if role == "fault" else "",
        )  # fmt: skip


def test_window_in_every_state(page: Page, bench: SimpleNamespace, live_server: Any) -> None:
    at, by = drain.now(), bench.technician
    order = walk.request(at=at)
    photographed(order)
    for station in [*(s for s in Station if s >= Station.GOODS_IN)]:
        walk.to(order, station, by=by, at=at)
        open_window(page, order, live_server)
        audit(page, f"{int(station)}-{station.name.lower()}")


def test_window_of_the_other_endings(page: Page, bench: SimpleNamespace, live_server: Any) -> None:
    at, by = drain.now(), bench.technician
    for choice in ("back", "recycle"):
        order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=by, at=at)
        walk.answer(order, choice=choice, at=at)
        open_window(page, order, live_server)
        audit(page, f"answered-{choice}")
    out.recycle(order=order, seen_version=order.version, method="Destroyed", by=by, at=at)
    page.reload()
    audit(page, "recycled")
    limited = walk.to(walk.request(at=at, standing_limit="500"), Station.GO_AHEAD, by=by, at=at)
    lifecycle.hold(limited, reason=SlipReason.PART, by=lifecycle.CLOCK, at=at)
    questions.ask(order=limited, text="When will it be done?\nI travel on Friday.", form_key="q", at=at)
    questions.answer(order=limited, text="On Thursday, if the part comes.", form_key="a", by=by, at=at)
    open_window(page, limited, live_server)
    audit(page, "limit-slip-messages")


def test_yes_from_the_letter_to_the_receipt(page: Page, bench: SimpleNamespace, live_server: Any) -> None:
    at = drain.now()
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    open_window(page, order, live_server)
    page.get_by_role("button", name="Continue").click()
    assert page.get_by_role("alert").get_by_text("pick one of the answers").is_visible()
    audit(page, "no-choice")
    page.get_by_label("Mend it").check()
    page.get_by_role("button", name="Continue").click()
    audit(page, "review")
    other = page.context.new_page()
    other.goto(page.url)
    page.get_by_role("button", name="Yes, mend it for").click()
    audit(page, "review-no-name")
    page.get_by_label("Your name").fill("Mara Ellwick")
    page.get_by_role("button", name="Yes, mend it for").press("Enter")
    page.get_by_text("Your answer is written down").wait_for()
    assert Decision.objects.get().typed_name == "Mara Ellwick"
    other.get_by_label("Your name").fill("Mara Ellwick")
    other.get_by_role("button", name="Yes, mend it for").click()
    other.get_by_text("answered already").wait_for()
    audit(other, "second-click")


def test_several_ways_from_the_quote_to_the_deposit(
    page: Page, bench: SimpleNamespace, live_server: Any
) -> None:
    at = drain.now()
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    several_ways(order)
    open_window(page, order, live_server)
    audit(page, "several-ways")
    page.get_by_role("radio", name="Clean it, without a promise").check()
    page.get_by_role("button", name="Continue").click()
    audit(page, "review-clean")
    page.get_by_role("button", name="Yes, clean it without a promise for $60.00").click()
    audit(page, "review-clean-no-consent")
    page.get_by_role("link", name="Back, nothing is decided yet").click()
    page.get_by_role("radio", name="Mend it").check()
    page.get_by_role("group", name="If you like, with Mend it").get_by_label("Front film").check()
    page.get_by_role("button", name="Continue").click()
    audit(page, "review-extras")
    page.get_by_label("Your name").fill("Mara Ellwick")
    page.get_by_role("button", name="Yes, mend it for $139.00").click()
    page.get_by_text("Your answer is written down").wait_for()
    assert Decision.objects.get().extras == ["e1"]
    audit(page, "deposit-to-pay")


def test_second_fault_deposit_and_bill_as_the_customer_sees_them(
    page: Page, bench: SimpleNamespace, live_server: Any
) -> None:
    at, by = drain.now(), bench.technician
    order = walk.to(walk.request(at=at), Station.QUOTE, by=by, at=at)
    Part.objects.filter(number="WIRE-002").update(special=True)
    walk.quote(order, by=by, at=at, deposit=Decimal("40.00"))
    walk.answer(order, at=at)
    open_window(page, order, live_server)
    audit(page, "60-deposit")
    payments.record_payment(
        order=order, kind="transfer", amount=Decimal(40), key="d", by=bench.owner, at=at, purpose="deposit"
    )
    order.refresh_from_db()
    found = Finding.objects.create(
        order=order, key="second", fault_class="short", words="A second fault.", mendable="yes", at=at, by=by
    )
    offers.second_fault(order=order, seen_version=order.version, found=found, by=by, at=at)
    order.refresh_from_db()
    walk.quote(order, by=by, at=at, parts=(), deposit=None)
    page.reload()
    audit(page, "50-second-fault")
    walk.answer(order, choice="first", at=at)
    order.refresh_from_db()
    walk.to(order, Station.GOODS_OUT, by=by, at=at)
    billing.credit(
        invoice=order.invoices.get(), why="Not fitted well", by=bench.owner, at=at, lines={1: Decimal(1)}
    )
    page.reload()
    audit(page, "80-bill")


def test_gentle_page(page: Page, bench: SimpleNamespace, live_server: Any) -> None:
    page.goto(f"{live_server.url}/l/nothing-like-it/")
    audit(page, "link-gone")
    page.get_by_label("Order code").fill("K7M4")
    page.get_by_role("button", name="Send me a fresh link").click()
    audit(page, "link-gone-errors")
