"""Pages of the books that old addresses lead to: who may, and what they say."""

import re
from datetime import datetime, timedelta
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.test import Client

from intake.models import Order
from quotes import payments
from shop.books import gather
from shop.returns import costs
from tests import walk

PAGES = ["/books/", "/books/orders/"]


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


def test_what_was_made_good_is_a_loss_of_its_order(bench: SimpleNamespace, at: datetime) -> None:
    """Billed 112.00, wire 0.09, post 9.40, 10.00 and 5.00 of losses; the order has left, so its kept line says it."""
    order = _gone(bench, at)
    costs.add_cost(order=order, what="Fee", amount=Decimal(10), key="c", by=bench.owner, at=at)
    payments.make_good(
        order=order, kind="cash", amount=Decimal(5), key="m", why="A scratch", by=bench.owner, at=at
    )
    (line,) = gather.open_books("all", at=at + timedelta(days=1)).lines
    assert (line.losses, line.cash) == (1500, 8751)
