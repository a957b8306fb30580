"""A shop in its second month of books, and its owner at the desk. The clock of the pages stands at `at`."""

import datetime as dt
from types import SimpleNamespace

import pytest
from django.test import Client

from intake import drain
from intake.models import Order
from intake.stations import Station
from quotes import trade_accounts
from shop.demo.base import set_up_shop
from tests import walk


@pytest.fixture(autouse=True)
def _clock(monkeypatch: pytest.MonkeyPatch, at: dt.datetime) -> None:
    monkeypatch.setattr(drain, "now", lambda: at)


@pytest.fixture
def shop(db: None, at: dt.datetime) -> SimpleNamespace:
    """Set up seventy days ago: `.owner`, `.technician`."""
    owner, technician = set_up_shop(at=at - dt.timedelta(days=70))
    return SimpleNamespace(owner=owner, technician=technician)


@pytest.fixture
def desk(shop: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(shop.owner)
    return client


@pytest.fixture
def old(shop: SimpleNamespace, at: dt.datetime) -> Order:
    """Billed forty days ago to a customer of the trade, and nothing paid."""
    then = at - dt.timedelta(days=40)
    order = walk.to(walk.request(at=then), Station.GOODS_OUT, by=shop.owner, at=then)
    trade_accounts.account_of(customer=order.customer, by=shop.owner, at=then)
    return order


@pytest.fixture
def fresh(shop: SimpleNamespace, at: dt.datetime) -> Order:
    """Billed five days ago to a consumer."""
    then = at - dt.timedelta(days=5)
    given = walk.request(at=then, name="Bram Tolliver", email="bram.tolliver@example.com")
    return walk.to(given, Station.GOODS_OUT, by=shop.owner, at=then)
