"""A minute without a network at the bench, in a real browser: nothing typed is lost, nothing is written twice."""

from datetime import datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest
from playwright.sync_api import Page, Route, expect

from intake.models import Order
from intake.stations import Station
from quotes.models import Reading
from tests import walk
from tests.browser.test_staff_pages import browser, look, signed_in, site  # noqa: F401 -- fixtures

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
TEN = [f"point {number} d .{number:03d}" for number in range(1, 11)]


@pytest.fixture
def page(browser, site):  # noqa: F811 -- fixtures
    """A page whose network is cut on purpose: the browser's own lines about that are no fault of its script."""
    context = signed_in(browser, site, viewport={"width": 390, "height": 844})
    page, faults = context.new_page(), []
    page.on("pageerror", lambda error: faults.append(str(error)))
    yield page
    context.close()
    assert faults == []


@pytest.fixture
def order(page: Page, site: SimpleNamespace, at: datetime) -> Order:  # noqa: F811 -- fixtures
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=site.technician, at=at)
    page.goto(f"{site.url}/sheet/{order.code}/")
    page.keyboard.press("F2")
    return order


def enter(page: Page, line: str) -> None:
    page.keyboard.type(line)
    page.keyboard.press("Enter")


def kept(page: Page) -> object:
    return page.evaluate("Object.keys(localStorage).filter(name => name.startsWith('bench:line')).length")


def stood() -> list[str]:
    return list(Reading.objects.order_by("pk").values_list("typed", flat=True))


def test_ten_readings_typed_without_a_network_are_there_once(page: Page, order: Order) -> None:
    enter(page, "before the cut d .1")
    expect(page.locator("#readings tbody tr")).to_have_count(1)
    page.context.set_offline(True)
    for line in TEN:
        enter(page, line)
    waiting = page.locator(".lines-kept")
    expect(waiting).to_contain_text("10 readings are kept on this machine, not written yet. No connection.")
    look(page, "30-offline")
    assert kept(page) == 10
    assert stood() == ["before the cut d .1"]
    page.context.set_offline(False)
    expect(waiting.locator("li").last).to_contain_text("diode, red on ground")
    assert len(stood()) == 1, "they wait for a hand that has read what they were understood as"
    page.keyboard.press("Enter")
    expect(page.locator("#readings tbody tr")).to_have_count(11)
    enter(page, "after the cut d .2")
    expect(page.locator("#readings tbody tr")).to_have_count(12)
    assert stood() == ["before the cut d .1", *TEN, "after the cut d .2"]
    assert kept(page) == 0
    expect(waiting).to_have_count(0)


def test_lines_kept_survive_a_lost_page(page: Page, order: Order) -> None:
    page.context.set_offline(True)
    for line in TEN[:3]:
        enter(page, line)
    expect(page.locator(".lines-kept li")).to_have_count(3)
    page.keyboard.type("half a li")
    page.context.set_offline(False)
    page.reload()
    expect(page.locator(".lines-kept li").last).to_contain_text("diode, red on ground")
    expect(page.locator("#reading_line")).to_have_value("half a li")
    page.get_by_role("button", name="Write all").click()
    expect(page.locator("#readings tbody tr")).to_have_count(3)
    assert stood() == TEN[:3]


def test_answer_that_was_lost_does_not_write_twice(page: Page, order: Order) -> None:
    """The shop has written the reading, and the network died before it could say so."""
    cut = {"answers": True}

    def lose(route: Route) -> None:
        if route.request.method == "POST" and cut["answers"]:
            route.fetch()
            route.abort()
        else:
            route.continue_()

    page.route("**/reading/", lose)
    enter(page, TEN[0])
    expect(page.locator(".lines-kept")).to_contain_text("1 reading is kept on this machine")
    assert stood() == TEN[:1]
    cut["answers"] = False
    expect(page.get_by_role("button", name="Write all")).to_be_visible()
    page.get_by_role("button", name="Write all").click()
    expect(page.locator(".lines-kept")).to_have_count(0)
    expect(page.locator("#readings tbody tr")).to_have_count(1)
    assert stood() == TEN[:1]


@pytest.mark.parametrize("status", [500, 503])
def test_shop_that_fails_keeps_the_line(page: Page, order: Order, status: int) -> None:
    page.route("**/reading/", lambda route: route.fulfill(status=status, body="out of order"))
    enter(page, TEN[0])
    expect(page.locator(".lines-kept")).to_contain_text("The shop did not answer as it should.")
    assert kept(page) == 1
    page.unroute("**/reading/")
    page.get_by_role("button", name="Write all").click()
    expect(page.locator("#readings tbody tr")).to_have_count(1)
    assert Reading.objects.get().value == Decimal("0.001")


def test_line_typed_after_being_signed_out_is_kept(page: Page, order: Order) -> None:
    cookies = page.context.cookies()
    page.context.clear_cookies()
    enter(page, TEN[0])
    expect(page.locator(".lines-kept")).to_contain_text("Signed out.")
    page.context.add_cookies(cookies)
    page.reload()
    page.get_by_role("button", name="Write all").click()
    expect(page.locator("#readings tbody tr")).to_have_count(1)
    assert stood() == TEN[:1]


def test_line_not_understood_later_can_be_put_right(page: Page, order: Order) -> None:
    page.context.set_offline(True)
    enter(page, "boost out d twelve")
    enter(page, TEN[0])
    page.context.set_offline(False)
    expect(page.locator(".lines-kept")).to_contain_text("is not a value")
    page.get_by_role("button", name="Put it back").click()
    expect(page.locator("#reading_line")).to_have_value("boost out d twelve")
    page.locator("#reading_line").fill("boost out d .12")
    page.keyboard.press("Enter")
    expect(page.locator(".lines-kept li").last).to_contain_text("0.12 volt")
    page.keyboard.press("Enter")
    expect(page.locator("#readings tbody tr")).to_have_count(2)
    assert stood() == [TEN[0], "boost out d .12"]


def test_lines_kept_for_a_sheet_are_said_on_other_pages(
    page: Page,
    order: Order,
    site: SimpleNamespace,  # noqa: F811 -- a fixture
) -> None:
    page.context.set_offline(True)
    enter(page, TEN[0])
    expect(page.locator(".lines-kept li")).to_have_count(1)
    page.context.set_offline(False)
    page.goto(f"{site.url}/bench/")
    expect(page.locator("#notices")).to_contain_text(f"1 reading of {order.code} is kept on this machine")
    page.get_by_role("link", name="Open its sheet").click()
    expect(page.get_by_role("button", name="Write all")).to_be_visible()


def test_lines_kept_can_be_written_when_the_sheet_has_moved_on(
    page: Page,
    order: Order,
    site: SimpleNamespace,  # noqa: F811 -- a fixture
    at: datetime,
) -> None:
    page.context.set_offline(True)
    enter(page, TEN[0])
    expect(page.locator(".lines-kept li")).to_have_count(1)
    walk.find(order, by=site.technician, at=at)
    page.context.set_offline(False)
    page.reload()
    page.get_by_role("button", name="Write all").click()
    expect(page.locator(".lines-kept")).to_have_count(0)
    assert TEN[0] in stood()


def test_line_dropped_while_another_is_on_its_way_is_not_written(page: Page, order: Order) -> None:
    page.context.set_offline(True)
    for line in TEN[:3]:
        enter(page, line)
    page.context.set_offline(False)
    waiting = page.locator(".lines-kept li")
    expect(waiting.last).to_contain_text("diode, red on ground")
    held: list[Route] = []
    page.route(
        "**/reading/",
        lambda route: route.continue_() if held or route.request.method != "POST" else held.append(route),
    )
    page.get_by_role("button", name="Write all").click()
    waiting.nth(1).get_by_role("button", name="Drop it").click()
    expect(waiting).to_have_count(2)
    held[0].continue_()
    expect(page.locator("#readings tbody tr")).to_have_count(2)
    expect(waiting).to_have_count(0)
    assert stood() == [TEN[0], TEN[2]] and kept(page) == 0


def test_line_put_back_never_covers_one_that_is_half_typed(page: Page, order: Order) -> None:
    page.context.set_offline(True)
    enter(page, "boost out d twelve")
    page.keyboard.type("half a li")
    page.context.set_offline(False)
    expect(page.locator(".lines-kept")).to_contain_text("is not a value")
    page.get_by_role("button", name="Put it back").click()
    expect(page.locator("#reading_line")).to_have_value("half a li")
    expect(page.locator("[data-echo]")).to_contain_text("Write or empty the line first")
    page.locator("#reading_line").fill("")
    page.get_by_role("button", name="Put it back").click()
    expect(page.locator("#reading_line")).to_have_value("boost out d twelve")
