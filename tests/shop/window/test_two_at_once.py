"""Two people who answer in the same moment: real threads, real rows, PostgreSQL only (SQLite's writers stand in line)."""

import threading
from collections.abc import Iterator
from types import SimpleNamespace

import pytest
from django.db import connection, connections
from django.test import Client

from intake import drain, tokens
from intake.models import Letter
from intake.stations import Station
from quotes.models import Decision, QuoteEnd
from tests import walk

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 5


@pytest.fixture(autouse=True)
def _on_postgresql(db: None) -> Iterator[None]:
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL")
    yield


@pytest.mark.parametrize("round_number", range(ROUNDS))
def test_two_who_answer_at_once_decide_once(bench: SimpleNamespace, round_number: int) -> None:
    at = drain.now()
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    quote = order.quotes.get()
    path = tokens.address_of(tokens.give_link(order, at=at)).split("/l/")[1]
    start, codes = threading.Barrier(4), []

    def press(choice: str) -> None:
        try:
            client = Client()
            client.get(f"/l/{path}")
            start.wait(timeout=20)
            given = {"quote": quote.digest, "choice": choice, "typed_name": "Mara Ellwick"}
            codes.append(client.post(f"/your/{order.code}/answer/", given).status_code)
        finally:
            connections.close_all()

    people = [threading.Thread(target=press, args=(choice,)) for choice in ("mend", "back") * 2]
    for person in people:
        person.start()
    for person in people:
        person.join(timeout=30)
    assert sorted(codes) == [303, 409, 409, 409]
    assert (Decision.objects.count(), QuoteEnd.objects.count()) == (1, 1)
    assert Letter.objects.filter(kind__in=["agreed", "declined"]).count() == 1
    order.refresh_from_db()
    chosen = Decision.objects.get().choice
    assert order.station == (Station.REPAIR if chosen == "mend" else Station.GOODS_OUT)
