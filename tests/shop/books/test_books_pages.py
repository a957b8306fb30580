"""Pages of the books that old addresses lead to: who may, and what they say."""

import csv
import io
import re
from datetime import datetime, timedelta
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.test import Client

from intake.models import Order
from quotes import payments
from shop.books import queries
from shop.books.old_periods import period_of
from shop.models import Cost
from tests import walk

PAGES = ["/books/", "/books/orders/", "/books/margin.csv"]


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def _gone(bench: SimpleNamespace, at: datetime) -> Order:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    walk.quote(order, by=bench.owner, at=at)
    walk.answer(order, at=at)
    walk.mend(order, by=bench.owner, at=at)
    walk.test_and_pass(order, by=bench.owner, at=at)
    walk.pay(order, by=bench.owner, at=at)
    return walk.send(order, by=bench.owner, at=at)


@pytest.mark.parametrize("address", PAGES)
def test_books_are_the_owners_alone(bench: SimpleNamespace, address: str) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(address).status_code == 403
    assert Client().get(address).status_code == 302
    assert technician.post(address).status_code in (403, 405)


def test_orders_of_old_addresses_are_still_found(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = _gone(bench, at)
    assert order.code in desk.get("/books/orders/?figure=left&period=all").content.decode()
    assert "No orders here" in desk.get("/books/orders/?figure=here&period=all").content.decode()
    assert desk.get("/books/orders/?figure=nothing").status_code == 404


def test_orders_behind_a_figure_are_turned_by_key(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    for _ in range(51):
        walk.receive(walk.request(at=at), by=bench.technician, at=at)
    first = desk.get("/books/orders/?figure=arrived&period=all").content.decode()
    assert first.count('class="run"') == 50
    (onward,) = re.findall(r'rel="next" href="(\?[^"]+)"', first)
    rest = desk.get("/books/orders/" + onward.replace("&amp;", "&")).content.decode()
    assert rest.count('class="run"') == 1
    assert 'rel="next"' not in rest


def test_margin_file_holds_sums_and_no_formula(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = _gone(bench, at)
    order.customer.name = "=cmd()"
    order.customer.save()
    Cost.objects.create(order=order, key="c", what="Fee", amount="200.00", at=at, by=bench.owner)
    answer = desk.get("/books/margin.csv?period=all")
    assert answer.headers["Content-Disposition"].startswith("attachment")
    (row,) = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert row["customer"] == "'=cmd()"
    assert row["cash margin"] == "-97.49"


def test_what_was_made_good_is_a_loss_of_its_order(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    """Billed 112.00, wire 0.09, post 9.40, 10.00 and 5.00 of losses, the fee of the payment apart."""
    order = _gone(bench, at)
    Cost.objects.create(order=order, key="c", what="Fee", amount="10.00", at=at, by=bench.owner)
    payments.make_good(
        order=order, kind="cash", amount=Decimal(5), key="m", why="A scratch", by=bench.owner, at=at
    )
    (row,) = csv.DictReader(io.StringIO(desk.get("/books/margin.csv?period=all").content.decode("utf-8-sig")))
    assert row["losses and other costs"] == "15.00"
    assert row["cash margin"] == "87.51"
    (facts,) = queries.gather(period_of("all", at=at + timedelta(days=1))).orders
    assert facts.cost_words == ("Made good: A scratch", "Fee")
