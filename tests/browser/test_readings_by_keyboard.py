"""A hundred readings typed without a mouse, in a real browser: each stands once, in order, with its value."""

import time
from datetime import datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest
from playwright.sync_api import Page, expect

from intake.stations import Station
from quotes.models import Reading
from tests import walk
from tests.browser.test_staff_pages import browser, look, page, site  # noqa: F401 -- fixtures

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WAYS = [("d .{:03d}", "diode", "0.001"), ("r {}", "ohms", "1"), ("v {}m", "volts", "0.001")]


def lines(count: int) -> list[tuple[str, str, Decimal]]:
    """(what is typed, mode, value in the base unit), every one at a place of its own."""
    found = []
    for number in range(1, count + 1):
        way, mode, unit = WAYS[number % len(WAYS)]
        found.append((f"point {number} {way.format(number)}", mode, number * Decimal(unit)))
    return found


def open_line(page: Page, site: SimpleNamespace, at: datetime) -> None:  # noqa: F811 -- fixtures
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=site.technician, at=at)
    page.goto(f"{site.url}/sheet/{order.code}/")
    page.keyboard.press("F2")


def test_hundred_readings_are_typed_without_a_mouse(
    page: Page,  # noqa: F811 -- a fixture
    site: SimpleNamespace,  # noqa: F811 -- a fixture
    at: datetime,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The aim is 20 readings in 60 seconds; the machine must not be what holds a hand up."""
    open_line(page, site, at)
    typed, began = lines(100), time.monotonic()
    for line, _, _ in typed:
        page.keyboard.type(line)
        page.keyboard.press("Enter")
    expect(page.locator("#readings tbody tr")).to_have_count(100, timeout=60_000)
    spent = time.monotonic() - began
    with capsys.disabled():
        print(f"\n100 readings in {spent:.1f} s, {6000 / spent:.0f} a minute")  # noqa: T201 -- the pace is what is asked
    stood = Reading.objects.order_by("pk").values_list("typed", "mode", "value")
    assert [(line, mode, value) for line, mode, value in stood] == typed
    assert spent < 300
    expect(page.locator("#reading_line")).to_be_focused()
    assert page.evaluate("Object.keys(localStorage).filter(name => name.startsWith('bench:line'))") == []


def test_one_reading_is_typed_and_shown_in_a_second(
    page: Page,  # noqa: F811 -- a fixture
    site: SimpleNamespace,  # noqa: F811 -- a fixture
    at: datetime,
) -> None:
    open_line(page, site, at)
    spent = []
    for number in range(1, 6):
        began = time.monotonic()
        page.keyboard.type(f"boost out d .45{number}")
        page.keyboard.press("Enter")
        expect(page.locator("#readings tbody tr")).to_have_count(number)
        spent.append(time.monotonic() - began)
    assert min(spent) < 1


def test_line_is_said_back_while_it_is_typed_and_writes_nothing(
    page: Page,  # noqa: F811 -- a fixture
    site: SimpleNamespace,  # noqa: F811 -- a fixture
    at: datetime,
) -> None:
    open_line(page, site, at)
    page.keyboard.type("boost out d .452")
    expect(page.locator("[data-echo]")).to_contain_text("boost out: diode, red on ground, 0.452 volt")
    assert not Reading.objects.exists()
    look(page, "30-said-back")
    page.reload()
    expect(page.locator("#reading_line")).to_have_value("boost out d .452")


def test_line_that_is_not_understood_comes_back_with_its_sentence(
    page: Page,  # noqa: F811 -- a fixture
    site: SimpleNamespace,  # noqa: F811 -- a fixture
    at: datetime,
) -> None:
    open_line(page, site, at)
    page.keyboard.type("boost out d twelve")
    page.keyboard.press("Enter")
    expect(page.locator("[data-echo]")).to_contain_text("is not a value")
    expect(page.locator("#reading_line")).to_have_value("boost out d twelve")
    for _ in "twelve":
        page.keyboard.press("Backspace")
    page.keyboard.type(".452")
    page.keyboard.press("Enter")
    expect(page.locator("#readings tbody tr")).to_have_count(1)
    assert Reading.objects.get().value == Decimal("0.452")


def test_reading_is_replaced_and_overruled_by_keys(
    page: Page,  # noqa: F811 -- a fixture
    site: SimpleNamespace,  # noqa: F811 -- a fixture
    at: datetime,
) -> None:
    open_line(page, site, at)
    page.keyboard.type("boost out d .452")
    page.keyboard.press("Enter")
    page.locator("a.again").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#reading_line")).to_be_focused()
    page.keyboard.type(".462")
    page.locator("#reading summary", has_text="Limits and verdict").press("Enter")
    page.locator("#reading_verdict").select_option("low")
    page.locator("#reading_verdict_why").fill("Its twin reads more")
    page.keyboard.press("Enter")
    expect(page.locator("#readings")).to_contain_text("overruled; the rule says no own reading yet")
    expect(page.locator("#readings summary")).to_have_text("1 replaced reading")
    old, new = Reading.objects.order_by("pk")
    assert old.superseded_by == new
    assert (new.value, new.proposed, new.verdict) == (Decimal("0.462"), "no own reading yet", "low")
    look(page, "30-overruled")
