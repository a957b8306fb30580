"""The page of promises and quotes: who may, what it says, and a number of queries that stays."""

from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake.models import Order
from quotes import offers
from shop.books import gather
from shop.books.promises import queries
from tests import walk

URL = "/books/promises/"


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def _home(bench: SimpleNamespace, at: datetime, **changes: object) -> Order:
    order = walk.request(at=at, **changes)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at, idea_answer="not" if order.idea else "none")
    walk.quote(order, by=bench.owner, at=at)
    walk.answer(order, at=at)
    walk.mend(order, by=bench.owner, at=at)
    walk.test_and_pass(order, by=bench.owner, at=at)
    walk.pay(order, by=bench.owner, at=at)
    walk.send(order, by=bench.technician, at=at)
    return order


def test_promises_page_is_the_owners_alone(bench: SimpleNamespace) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(URL).status_code == 403
    assert Client().get(URL).status_code == 302


def test_empty_books_have_a_page_of_promises(desk: Client) -> None:
    page = desk.get(URL)
    assert page.status_code == 200
    assert "Nothing here in this period" in page.content.decode()


def test_promises_page_says_what_was_kept_and_leads_to_the_order(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = _home(bench, at)
    page = desk.get(URL, {"period": "all"}).content.decode()
    assert "1 of 1" in page
    for figure in ("promise-first", "quote-accepted", "quote-no-fix", "promise-comebacks"):
        behind = desk.get("/books/orders/", {"figure": figure, "period": "all"}).content.decode()
        assert order.code in behind


def test_idea_of_the_customer_is_counted_under_its_list(bench: SimpleNamespace, at: datetime) -> None:
    gone = _home(bench, at, idea="Torn  PAD")
    here = walk.request(at=at, idea="torn pad")
    walk.receive(here, by=bench.technician, at=at)
    walk.find(here, by=bench.owner, at=at, idea_answer="right", fault_class="Torn pad")
    found = queries.ideas(gather.open_books("all", at=at + timedelta(days=1)))
    assert len({found[gone.pk], found[here.pk]}) == 1


def test_reminders_are_read_of_what_is_here_and_what_has_left(bench: SimpleNamespace, at: datetime) -> None:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    quote = walk.quote(order, by=bench.owner, at=at)
    offers.remind(quote=quote, number=1, at=at + timedelta(days=3))
    told = {order.pk: (int((at + timedelta(days=3)).timestamp()),)}
    assert queries.reminders(gather.open_books("all", at=at + timedelta(days=4))) == told
    walk.answer(order, choice="back", at=at + timedelta(days=5))
    walk.pay(order, by=bench.owner, at=at + timedelta(days=5))
    walk.send(order, by=bench.technician, at=at + timedelta(days=6))
    assert queries.reminders(gather.open_books("all", at=at + timedelta(days=7))) == told


def test_queries_of_the_promises_page_do_not_grow(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    _home(bench, at)
    desk.get(URL)
    with CaptureQueriesContext(connection) as few:
        desk.get(URL, {"period": "all"})
    for _ in range(3):
        _home(bench, at)
    with CaptureQueriesContext(connection) as more:
        desk.get(URL, {"period": "all"})
    assert len(more) == len(few)
