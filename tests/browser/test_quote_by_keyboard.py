"""From the first reading to the sent quote without a mouse, in a real browser; each page audited at both widths."""

from datetime import datetime
from types import SimpleNamespace

import pytest
from playwright.sync_api import Page, expect

from intake.models import Order
from intake.stations import Station
from quotes.models import Quote, Reading
from tests import walk
from tests.browser.test_staff_pages import browser, look, page, site  # noqa: F401 -- fixtures

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def type_into(page: Page, key: str, words: str) -> None:  # noqa: F811 -- the page at hand
    page.keyboard.press(key)
    page.keyboard.type(words)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def read(page: Page, words: str) -> None:  # noqa: F811 -- the page at hand
    """A reading is written without a new page."""
    page.keyboard.press("F2")
    page.keyboard.type(words)
    page.keyboard.press("Enter")


def test_order_goes_from_reading_to_sent_quote_by_keys_alone(
    page: Page,  # noqa: F811 -- a fixture
    site: SimpleNamespace,  # noqa: F811 -- a fixture
    at: datetime,
) -> None:
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=site.technician, at=at)
    page.goto(f"{site.url}/sheet/{order.code}/")
    look(page, "30-empty")
    read(page, "microphone bias d OL")
    read(page, "main supply 1k2")
    expect(page.locator("#readings tbody tr")).to_have_count(2)
    assert Reading.objects.filter(order=order).count() == 2
    read(page, "main supply twelve")
    expect(page.locator("[data-echo]")).to_contain_text("is not a value")
    expect(page.locator("#reading_line")).to_have_value("main supply twelve")
    look(page, "30-refused")
    page.goto(f"{site.url}/sheet/{order.code}/")
    page.locator("#finding_fault_class").focus()
    page.keyboard.type("torn pad")
    page.locator("#finding_words").focus()
    page.keyboard.type("The microphone is good. Its line is broken.")
    page.locator("#finding_symptom_0_0").focus()
    page.keyboard.press("Space")
    page.locator("#finding_idea_answer_2").focus()
    page.keyboard.press("Space")
    page.locator("#finding_mendable_0").focus()
    page.keyboard.press("Space")
    with page.expect_response("**/finding/keep/"):
        page.locator("#finding_words").focus()
    expect(page.locator("[data-saved]")).to_contain_text("Last kept")
    look(page, "30-filled")
    with page.expect_navigation():
        page.keyboard.press("F9")
    look(page, "40-empty")
    type_into(page, "F2", "Fit jumper wire")
    type_into(page, "F4", "WIRE-002")
    type_into(page, "F4", "no such part")
    expect(page.locator("#errors")).to_contain_text("No part in the stockroom")
    look(page, "40-refused")
    page.goto(f"{site.url}/sheet/{order.code}/")
    look(page, "40-filled")
    with page.expect_navigation():
        page.keyboard.press("F9")
    expect(page).to_have_url(f"{site.url}/sheet/{order.code}/quote/review/")
    look(page, "40-review")
    with page.expect_navigation():
        page.keyboard.press("F9")
    assert Quote.objects.get(order=order).revision == 1
    assert Order.objects.get(pk=order.pk).station == Station.GO_AHEAD
    for fold in page.locator("#station-50 details > summary").all():
        fold.click()
    look(page, "50")


def test_words_typed_at_30_survive_a_reading_and_a_lost_page(
    page: Page,  # noqa: F811 -- a fixture
    site: SimpleNamespace,  # noqa: F811 -- a fixture
    at: datetime,
) -> None:
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=site.technician, at=at)
    page.goto(f"{site.url}/sheet/{order.code}/")
    page.locator("#finding_words").focus()
    page.keyboard.type("The drop cracked")
    with page.expect_response("**/finding/keep/"):
        page.keyboard.press("F2")
    page.keyboard.type("bias d .452")
    page.keyboard.press("Enter")
    expect(page.locator("#readings tbody tr")).to_have_count(1)
    page.reload()
    expect(page.locator("#finding_words")).to_have_value("The drop cracked")
