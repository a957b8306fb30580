"""Stations 40 and 50 with several choices, an extra and a deposit, in a real browser at phone and desk width."""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest
from playwright.sync_api import Page

from intake.drain import now
from intake.models import Order
from intake.stations import Station
from quotes import draft_lines, drafts, offers
from quotes.models import Part, Surcharge
from shop.demo import steps
from tests import walk
from tests.browser.test_staff_pages import browser, look, page, site

__all__ = ["browser", "page", "site"]
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ON = {"data": {"on": True, "chance": "even"}, "clean": {"on": True}}


@pytest.fixture
def order(site: SimpleNamespace) -> Iterator[Order]:
    at = now()
    Part.objects.filter(number="WIRE-002").update(special=True)
    Surcharge.objects.create(name="Rush", kind="rush", percent=Decimal(15))
    order = walk.to(walk.request(at=at), Station.QUOTE, by=site.technician, at=at)
    lines = [
        *steps.lines_of(["Fit jumper wire"], ["WIRE-002"]),
        {"kind": "labour", "text": "Save the data", "price": "60", "choice": "data"},
        {"kind": "labour", "text": "Clean the board", "price": "40", "choice": "clean"},
        {"kind": "fee", "text": "New film", "price": "9", "extra": "e1", "extra_text": "New film"},
    ]
    drafts.save_draft(
        draft=drafts.draft_of(order, at=at),
        lines=lines,
        words="",
        promise=None,
        at=at,
        choices=ON,
        deposit=Decimal(20),
    )
    yield order


def opened(page: Page) -> None:
    """Everything that folds, open: a page must hold with all of it on the screen."""
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")


def test_draft_with_everything_on_it_holds_at_every_width(
    page: Page, site: SimpleNamespace, order: Order
) -> None:
    page.goto(f"{site.url}/sheet/{order.code}/")
    opened(page)
    look(page, "quote-choices")
    page.goto(f"{site.url}/sheet/{order.code}/quote/review/")
    look(page, "quote-choices-review")


def test_go_ahead_with_choices_and_a_revision_holds_at_every_width(
    page: Page, site: SimpleNamespace, order: Order
) -> None:
    at = now()
    send(order, site, at)
    offers.reopen(order=order, seen_version=order.version, by=site.technician, at=at)
    draft = drafts.draft_of(order, at=at)
    draft_lines.add(
        order=order,
        seen=draft.version,
        line={"kind": "fee", "text": "For the wait", "price": "-5"},
        at=at,
    )
    order.refresh_from_db()
    send(order, site, at)
    page.goto(f"{site.url}/sheet/{order.code}/")
    opened(page)
    look(page, "go-ahead-choices")


def send(order: Order, site: SimpleNamespace, at: datetime) -> None:
    draft = drafts.draft_of(order, at=at)
    offers.send(order=order, seen_version=order.version, seen_draft=draft.version, by=site.technician, at=at)
    order.refresh_from_db()
