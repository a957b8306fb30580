"""One order from the front page to the doorstep through the real pages alone, in a real browser; then no, and no fix."""

import datetime as dt
from collections.abc import Iterator
from email.message import EmailMessage
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from django.core import mail
from django.utils import timezone
from playwright.sync_api import Browser, Page, sync_playwright

from intake import drain, history
from intake.models import Letter, Order
from intake.stations import Outcome, Station
from quotes import billing
from quotes.models import Decision, Invoice, Part, Payment, Quote
from shop.demo.base import PASSWORDS
from shop.models import Warranty
from tests import walk
from tests.browser import walking
from tests.browser.walking import DESK, PHONE, press
from tests.paper_samples import codes_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SERIAL = "ZZ-0417"
# S10 item number with a right check digit (Universal Postal Union, standard S10).
TRACKING = "LA473124829ZZ"


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def faults() -> Iterator[list[str]]:
    """What went wrong in the script of any page of the walk."""
    seen: list[str] = []
    yield seen
    assert seen == []


@pytest.fixture
def site(browser: Browser, bench: SimpleNamespace, live_server: Any, settings: Any) -> str:
    """The shop of the demonstration, served under the address that its letters name."""
    settings.SITE_ADDRESS = live_server.url
    return str(live_server.url)


@pytest.fixture
def technician(browser: Browser, site: str, faults: list[str]) -> Iterator[Page]:
    page = walking.open_page(browser, DESK, faults)
    walking.sign_in(page, site, "pim", PASSWORDS["pim"])
    yield page
    page.context.close()


@pytest.fixture
def customer(browser: Browser, site: str, faults: list[str]) -> Iterator[Page]:
    page = walking.open_page(browser, PHONE, faults)
    yield page
    page.context.close()


def wrong_imei(page: Page) -> None:
    """A digit off: the request goes on, with a word; then it is put right."""
    walking.put(page, "device", imei="001001000000016")
    press(page, "Continue")
    page.get_by_text("IMEI:").first.wait_for()
    press(page, "Back")
    page.wait_for_url("**/request/device/*")


def add_photo(folder: Path) -> Any:
    def adding(page: Page) -> None:
        page.set_input_files("[name=photos]", walking.picture(folder, "phone"))
        press(page, "Add these photos")
        page.get_by_role("button", name="Remove photo 1").wait_for()

    return adding


def mend(page: Page) -> None:
    """Station 60: steps, the part that was put aside, the same point measured again; signed by key."""
    press(page, "Start the minutes")
    with page.expect_navigation():
        page.locator("#parts").get_by_role("button", name="Fit").click()
    walking.read(page, "microphone bias d .452")
    for box in page.locator("[name=steps]").all():
        box.check()
    walking.key(page, "F9")


def prove(page: Page) -> None:
    """Station 70: a blank row is refused, then every row is marked; signed by key."""
    rows = page.locator(".test").all()
    for row in rows[:-1]:
        row.get_by_label("OK", exact=True).check()
        if row.locator(".soak").count():
            row.get_by_label("Why, if outside its limits").fill("It ran on the shelf overnight")
    walking.key(page, "F9")
    assert page.locator("#errors, .bad").first.is_visible()
    page.locator(".test").last.get_by_label("OK", exact=True).check()
    walking.key(page, "F9")


def book_payment(page: Page) -> None:
    page.locator("#pay_kind").get_by_text("Card", exact=True).click()
    press(page, "Book the payment")


def test_order_goes_from_the_front_page_to_the_doorstep(
    browser: Browser, site: str, customer: Page, technician: Page, faults: list[str], tmp_path: Path
) -> None:
    before = Part.objects.get(number="WIRE-002")
    order = walking.ask(
        customer,
        site,
        also={"device": wrong_imei, "photos": add_photo(tmp_path)},
        limit={"standing_limit": ""},
    )
    assert codes_of(walking.paper(customer, "Shipping form")) == {
        ("Code128", order.code),
        ("QRCode", order.code),
    }
    press(customer, "I have posted it")

    walking.scan(technician, order.code)
    walking.take_in(technician, tmp_path, serial=SERIAL)
    assert ("QRCode", order.code) in codes_of(walking.paper(technician, "Bag label"))
    walking.find_out(technician)
    walking.offer(technician)

    at_home = walking.open_page(browser, PHONE, faults)
    at_home.goto(f"{site}{walking.link_in(order, 'quote')}")
    old_tab = at_home.context.new_page()
    old_tab.goto(at_home.url)
    old_tab.get_by_label("Send it back").check()
    press(old_tab, "Continue")
    walking.decide(at_home, "Mend it", "Yes, mend it for", name="Mara Ellwick")
    at_home.get_by_text("Your answer is written down").wait_for()
    old_tab.get_by_label("Your name").fill("Mara Ellwick")
    with old_tab.expect_navigation():
        old_tab.locator("main form button.act").click()
    old_tab.get_by_text("answered already").wait_for()
    assert Decision.objects.get(quote__order=order).choice == "mend"

    walking.scan(technician, order.code)
    mend(technician)
    prove(technician)
    invoice = Invoice.objects.get(order=order)
    assert invoice.total == Quote.objects.get(order=order).total == billing.balance(order)

    owner = walking.open_page(browser, DESK, faults)
    walking.sign_in(owner, site, "ansel", PASSWORDS["ansel"])
    walking.scan(owner, order.code)
    book_payment(owner)
    technician.reload()
    walking.pack(technician, tracking=TRACKING)
    at_home.reload()
    assert TRACKING in at_home.locator("main").inner_text()
    press(technician, "It was delivered")

    order.refresh_from_db()
    warranty = Warranty.objects.get(order=order)
    assert warranty.ends - warranty.starts == dt.timedelta(days=90)
    at_home.reload()
    said = at_home.locator("main").inner_text()
    assert "Warranty from" in said
    assert str(warranty.ends.year) in said
    assert (order.at_station, order.outcome) == (Station.HOME, Outcome.FIXED)
    assert billing.balance(order) == 0
    assert Payment.objects.get(order=order).amount == invoice.total
    after = Part.objects.get(number="WIRE-002")
    assert (after.on_hand, after.reserved) == (before.on_hand - 1, before.reserved)
    assert history.verify() is None
    told = list(Letter.objects.filter(order=order).order_by("pk").values_list("kind", flat=True))
    assert told == [
        "request_received", "arrived", "quote", "agreed", "mended", "paid", "on_its_way", "home",
    ]  # fmt: skip
    every_letter_is_delivered_with_its_papers(order)


def every_letter_is_delivered_with_its_papers(order: Order) -> None:
    drain.drain(at=timezone.now())
    assert not Letter.objects.exclude(state=Letter.State.SENT).exists()
    delivered = cast(list[Any], mail.outbox)
    for letter in Letter.objects.filter(order=order):
        sent: EmailMessage = next(
            one.message() for one in delivered if one.extra_headers["Message-ID"] == letter.message_id
        )
        papers = [part for part in sent.walk() if part.get_content_type() == "application/pdf"]
        names = [part.get_filename() for part in papers]
        assert names == [paper.file_name for paper in letter.papers.all()], letter.kind
        assert all(cast(bytes, part.get_payload(decode=True)).startswith(b"%PDF-") for part in papers)
    with_papers = set(Letter.objects.filter(order=order, papers__isnull=False).values_list("kind", flat=True))
    assert with_papers >= {"request_received", "arrived", "quote", "agreed", "mended"}


def test_no_sends_it_back_as_it_came(
    browser: Browser, site: str, bench: SimpleNamespace, technician: Page, faults: list[str]
) -> None:
    """Asked and answered without script: nothing is mended, no work is owed, it goes back."""
    plain = walking.open_page(browser, PHONE, faults, java_script_enabled=False)
    order = walking.ask(plain, site, limit={"standing_limit": ""})
    walk.to(order, Station.GO_AHEAD, by=bench.technician, at=drain.now())
    plain.goto(f"{site}{walking.link_in(order, 'quote')}")
    walking.decide(plain, "Send it back", "Send it back", name="Mara Ellwick")
    plain.get_by_text("Your answer is written down").wait_for()
    walking.scan(technician, order.code)
    if billing.balance(order):
        book_payment(technician)
    walking.pack(technician, tracking="")
    press(technician, "It was delivered")
    order.refresh_from_db()
    assert (order.at_station, order.outcome) == (Station.HOME, Outcome.DECLINED)
    assert billing.balance(order) == 0
    assert not Warranty.objects.filter(order=order).exists()
    assert Part.objects.get(number="WIRE-002").reserved == 0
    assert history.verify() is None


def test_no_fix_is_said_and_goes_back(
    site: str, bench: SimpleNamespace, customer: Page, technician: Page
) -> None:
    """What cannot be mended costs no more than was said, and the customer reads why."""
    order = walk.to(walk.request(at=drain.now()), Station.REPAIR, by=bench.technician, at=drain.now())
    walking.scan(technician, order.code)
    technician.get_by_text("It cannot be mended", exact=True).click()
    technician.get_by_label("Why it could not be mended, in plain words").fill(
        "The board is cracked under the processor."
    )
    press(technician, "Sign as no fix")
    quote = Quote.objects.get(order=order)
    assert billing.balance(order) == quote.no_fix_total < quote.total
    book_payment(technician)
    walking.pack(technician, tracking=TRACKING)
    customer.goto(f"{site}{walking.link_in(order, 'no_fix')}")
    customer.get_by_text("The board is cracked under the processor.").first.wait_for()
    order.refresh_from_db()
    assert (order.at_station, order.outcome) == (Station.WAY_HOME, Outcome.NO_FIX)
    assert Part.objects.get(number="WIRE-002").reserved == 0
    assert history.verify() is None
