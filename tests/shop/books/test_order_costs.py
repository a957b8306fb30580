"""The owner writes down what an order cost beside parts, post and fees."""

from datetime import datetime
from types import SimpleNamespace

import pytest
from django.test import Client

from intake.models import Order
from shop.books.recount import recount
from shop.models import BookLine, Cost
from tests import walk


@pytest.fixture
def sent(bench: SimpleNamespace, at: datetime) -> Order:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    walk.quote(order, by=bench.owner, at=at)
    walk.answer(order, at=at)
    walk.mend(order, by=bench.owner, at=at)
    walk.test_and_pass(order, by=bench.owner, at=at)
    walk.pay(order, by=bench.owner, at=at)
    return walk.send(order, by=bench.owner, at=at)


def _desk(person: object) -> Client:
    client = Client()
    client.force_login(person)  # type: ignore[arg-type]  # a person of the shop
    return client


def test_cost_is_written_once_and_stands_in_the_line(sent: Order, bench: SimpleNamespace) -> None:
    desk, before = _desk(bench.owner), BookLine.objects.get(order=sent)
    given = {"what": "Parcel lost, above its cover", "amount": "140", "key": "k1"}
    for _ in range(2):
        answer = desk.post(f"/books/margin/{sent.code}/cost/", given, follow=True)
        assert "Written down as a loss of this order." in answer.content.decode()
    line = BookLine.objects.get(order=sent)
    assert (line.losses - before.losses, Cost.objects.count()) == (14_000, 1)
    assert recount().faults == []
    assert "Parcel lost, above its cover" in desk.get(f"/books/margin/{sent.code}/").content.decode()


def test_cost_without_a_sum_keeps_what_was_typed(sent: Order, bench: SimpleNamespace) -> None:
    answer = _desk(bench.owner).post(
        f"/books/margin/{sent.code}/cost/", {"what": "Claim turned down", "amount": "", "key": "k"}
    )
    page = answer.content.decode()
    assert answer.status_code == 400 and "Claim turned down" in page
    assert not Cost.objects.exists()


def test_technician_writes_no_cost(sent: Order, bench: SimpleNamespace) -> None:
    given = {"what": "x", "amount": "1", "key": "k"}
    assert _desk(bench.technician).post(f"/books/margin/{sent.code}/cost/", given).status_code == 403
    assert not Cost.objects.exists()
