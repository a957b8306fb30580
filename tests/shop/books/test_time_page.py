"""The page of time: who may, what it says, and a number of queries that stays."""

from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake.lifecycle import hold, staff
from intake.models import Order
from intake.stations import SlipReason, Station
from tests import walk

ADDRESS = "/books/time/?period=all"


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def gone(bench: SimpleNamespace, at: datetime, days: float = 2.5) -> Order:
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.owner, at=at)
    walk.pay(order, by=bench.owner, at=at)
    return walk.send(order, by=bench.owner, at=at + timedelta(days=days))


def test_time_is_the_owners_alone(bench: SimpleNamespace) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(ADDRESS).status_code == 403
    assert Client().get(ADDRESS).status_code == 302


def test_an_empty_shop_has_a_page(desk: Client) -> None:
    page = desk.get(ADDRESS).content.decode()
    assert "Half are gone by" in page
    assert "nothing yet" in page
    assert "guessed opening hours" in page


def test_what_left_and_what_is_here_are_told(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    gone(bench, at)
    here = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.owner, at=at)
    hold(here, reason=SlipReason.PART, by=staff(bench.owner), at=at)
    answer = desk.get(ADDRESS)
    page = answer.content.decode()
    assert answer.context["figures"]["time_median"].value == "2.5 days"
    assert answer.context["figures"]["time_median"].pale
    assert "Still here: 1." in page
    assert here.code in page
    assert "Slip: for a part" in page
    assert "supplier" in page
    assert page.count('<img class="chart"') >= 3


@pytest.mark.parametrize("by", ["family", "fault", "technician", "month", "nothing"])
def test_turnaround_by(desk: Client, bench: SimpleNamespace, at: datetime, by: str) -> None:
    gone(bench, at)
    answer = desk.get(f"{ADDRESS}&by={by}")
    assert answer.status_code == 200
    wanted = "family" if by == "nothing" else by
    assert answer.context["by"] == wanted
    assert answer.context["tables"][f"time_{wanted}"].name in answer.content.decode()


def test_the_number_of_queries_stays(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    gone(bench, at)
    walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.owner, at=at)
    desk.get(ADDRESS)
    with CaptureQueriesContext(connection) as few:
        desk.get(ADDRESS)
    for _ in range(2):
        gone(bench, at)
        walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.owner, at=at)
    with CaptureQueriesContext(connection) as more:
        desk.get(ADDRESS)
    assert len(more) == len(few)


def test_orders_behind_a_figure(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = gone(bench, at)
    page = desk.get("/books/orders/?figure=time-median&period=all").content.decode()
    assert order.code in page
    assert 'href="/books/time/?period=all#time-median">Back to time<' in page
    quotes = desk.get("/books/orders/?figure=quote-accepted&period=all").content.decode()
    assert "Back to promises and quotes" in quotes and "#quote-accepted" in quotes
    assert 'href="/books/">Back to the books<' in desk.get("/books/orders/?figure=here").content.decode()


def test_reason_stands_before_the_rest_on_the_page(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.owner, at=at)
    heads = [head.text for head in desk.get(ADDRESS).context["oldest"].heads]
    assert heads == ["Order", "Days here", "Why", "Whose time", "Beyond usual", "Station"]
