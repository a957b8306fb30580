"""The page of money owed: who may, what it says, and a number of queries that stays."""

from datetime import datetime
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake.models import Order
from tests import walk

URL = "/books/owed/"


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def _billed(bench: SimpleNamespace, at: datetime, **changes: object) -> Order:
    order = walk.request(at=at, **changes)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    walk.quote(order, by=bench.owner, at=at)
    walk.answer(order, at=at)
    walk.mend(order, by=bench.owner, at=at)
    walk.test_and_pass(order, by=bench.owner, at=at)
    return order


def test_owed_page_is_the_owners_alone(bench: SimpleNamespace) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(URL).status_code == 403
    assert Client().get(URL).status_code == 302
    assert technician.post(URL).status_code in (403, 405)


def test_owed_page_shows_a_bill_and_leads_to_its_order(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = _billed(bench, at)
    page = desk.get(URL, {"period": "all"}).content.decode()
    assert order.code in page
    behind = desk.get("/books/orders/", {"figure": "owed-outstanding", "period": "all"})
    assert order.code in behind.content.decode()


def test_queries_of_the_owed_page_do_not_grow(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    _billed(bench, at)
    desk.get(URL)
    with CaptureQueriesContext(connection) as few:
        desk.get(URL, {"period": "year"})
    for _ in range(3):
        _billed(bench, at)
    with CaptureQueriesContext(connection) as more:
        desk.get(URL, {"period": "year"})
    assert len(more) == len(few)
