"""The owner's pages of money with everything on them, on a phone and on a desk: audited, and no wider than the window."""

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Browser, sync_playwright

from intake import drain
from intake.models import Order
from intake.stations import Station
from quotes import billing, closing, disputes, payments, trade_accounts
from quotes.models import Rates
from quotes.statement_maths import month_before, month_start
from tests import walk
from tests.browser import walking
from tests.browser.test_every_page import Looker

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        yield opened
        opened.close()


def _rates(**changes: Any) -> None:
    rates = Rates.current()
    rates.pk, rates.version = None, rates.version + 1
    for name, value in changes.items():
        setattr(rates, name, value)
    rates.save(force_insert=True)


def _world(bench: SimpleNamespace, at: dt.datetime) -> dict[str, Order]:
    """A late bill of the trade, a bill with a dispute won, one under way and a part credited, one with room on top."""
    _rates(interest_percent=Decimal("8.5"), overrun_rule="share", overrun_percent=Decimal(10))
    long_ago, by = at - dt.timedelta(days=75), bench.owner
    late = walk.to(walk.request(at=long_ago), Station.GOODS_OUT, by=by, at=long_ago)
    trade_accounts.account_of(customer=late.customer, by=by, at=long_ago)
    closing.close(upto=(at - dt.timedelta(days=60)).date(), by=by, at=at)
    bad = walk.to(walk.request(at=at, email="bram@example.com"), Station.GOODS_OUT, by=by, at=at)
    for number in range(2):
        paid = payments.record_payment(
            order=bad, kind="card", amount=Decimal(40), key=f"p{number}", by=by, at=at
        )
        held = disputes.open_dispute(
            payment=paid, amount=Decimal(40), fee=Decimal(15), why="The payer does not recognise it at all",
            answer_by=at.date(), key=f"d{number}", by=by, at=at,
        )  # fmt: skip
    disputes.end_dispute(dispute=held, won=True, by=by, at=at)
    billing.credit(invoice=bad.invoices.get(), why="No post", lines={1: Decimal(1)}, by=by, at=at)
    on_top = walk.to(walk.request(at=at, email="o@example.com"), Station.REPAIR, by=by, at=at)
    return {"late": late, "bad": bad, "on top": on_top}


def test_money_pages_pass_the_audit_and_fit_a_phone(
    browser: Browser, bench: SimpleNamespace, live_server: Any, settings: Any
) -> None:
    """Audit by axe-core, all its rules; nothing scrolls sideways, by WCAG 2.2, 1.4.10."""
    settings.DEMO, settings.SITE_ADDRESS = True, live_server.url
    at, owner = drain.now(), Client()
    orders = _world(bench, at)
    owner.force_login(bench.owner)
    month = month_before(month_start(at.date()))
    trade = f"/accounts/trade/{orders['late'].customer_id}/"
    assert owner.post(f"{trade}statement/?month={month_before(month):%Y-%m}", {}).status_code == 303
    wrong: list[str] = []
    for size in (walking.PHONE, walking.DESK):
        staff = Looker(browser, size, live_server.url, owner)
        for path in (
            "", "invoices/", "invoices/?q=nothing", "journal/?since=2020-01-01&upto=2090-01-01", "journal/?since=x",
            "journal/", "closing/", f"closing/?upto={at.date()}", "closing/?upto=x", "proof/", "proof/?run=1", "trade/",
            "trade/?q=bram", "statements/",
        ):  # fmt: skip
            staff.look(f"/accounts/{path}")
        for path in (
            trade,
            f"{trade}statement/?month={month:%Y-%m}",
            f"{trade}statement/?month={month_before(month):%Y-%m}",
        ):
            staff.look(path)
        for name, order in orders.items():
            staff.look(f"/sheet/{order.code}/", f"sheet of {name}")
        wrong += staff.wrong
    assert not wrong, "\n".join(wrong)
