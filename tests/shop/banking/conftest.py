"""The demonstration's shop, which takes cards by the offline provider."""

from collections.abc import Iterator
from datetime import datetime
from types import SimpleNamespace

import pytest
from django.test import Client

from intake.house import forget_house
from intake.models import Letterhead, Order
from quotes.cards import provider
from shop.banking import pretending
from shop.window import doors
from tests import walk
from tests.window_pages import AT


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    """The owner, signed in."""
    client = Client()
    client.force_login(bench.owner)
    return client


@pytest.fixture
def order(bench: SimpleNamespace, at: datetime) -> Order:
    """Billed and not paid."""
    return walk.to(walk.request(at=at), walk.Station.GOODS_OUT, by=bench.technician, at=at)


@pytest.fixture
def cards(bench: SimpleNamespace) -> Iterator[None]:
    """The shop takes cards."""
    provider.register(pretending.offline_provider())
    Letterhead.objects.update(card_provider="offline", changed_by=bench.owner)
    forget_house()
    yield
    provider.forget("offline")


@pytest.fixture
def _clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fixed clock for the customer's pages; signatures keep the real one."""
    for module in (
        "access",
        "window.doors",
        "window.sheet",
        "banking.paying",
        "banking.card_views",
        "banking.pretending",
    ):
        monkeypatch.setattr(f"shop.{module}.now", lambda: AT)
    monkeypatch.setattr(doors, "SAME_TIME", 0.0)
