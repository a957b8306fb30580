"""The page of goods out: each order in one list, with how long it has waited, in a steady number of queries."""

from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake import lifecycle
from intake.stations import SlipReason, Station
from shop.returns.waiting import goods_out
from tests import walk


@pytest.fixture
def orders(bench, at):
    who = {"by": bench.technician, "at": at}
    made = {
        name: walk.to(walk.request(at=at), Station.GOODS_OUT, **who) for name in ("paid", "unpaid", "held")
    }
    walk.pay(made["paid"], **who)
    lifecycle.hold(made["held"], reason=SlipReason.DISPUTE, by=lifecycle.staff(bench.technician), at=at)
    made["recycle"] = walk.to(walk.request(at=at), Station.GO_AHEAD, **who)
    walk.answer(made["recycle"], at=at, choice="recycle")
    made["sent"] = walk.to(walk.request(at=at), Station.WAY_HOME, **who)
    walk.to(walk.request(at=at), Station.TEST, **who)
    return made


def test_each_order_stands_in_one_list_with_its_days(orders, at):
    page = goods_out(at=at + timedelta(days=9))
    lists = {
        "paid": page.to_pack,
        "unpaid": page.unpaid,
        "held": page.held,
        "recycle": page.to_recycle,
        "sent": page.on_its_way,
    }
    for name, rows in lists.items():
        assert [(row.order.code, row.days) for row in rows] == [(orders[name].code, 9)], name
    assert page.unpaid[0].owed == orders["unpaid"].invoices.get().total
    assert page.held[0].why == "It is in dispute."


def test_more_orders_ask_no_more_queries(orders, bench, at):
    def asked():
        with CaptureQueriesContext(
            connection,
        ) as queries:
            goods_out(at=at)
        return len(queries)

    few = asked()
    for _ in range(2):
        walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    assert asked() == few <= 8


def page_on(moment, bench):
    with time_machine.travel(moment, tick=False):
        client = Client()
        client.force_login(bench.technician)
        return client, client.get("/out/").content.decode()


def test_parcel_that_was_silent_for_long_is_asked_after_and_not_delivered_today(orders, bench, at):
    _, text = page_on(at + timedelta(days=22), bench)
    assert "ask the carrier" in text and 'name="day"' not in text


def test_page_shows_them_and_delivers_by_one_press(orders, bench, at):
    client, text = page_on(at + timedelta(days=1), bench)
    for name in ("paid", "unpaid", "held", "recycle", "sent"):
        assert orders[name].code in text
    sent = orders["sent"]
    day = text.split('name="day" value="')[1][:10]
    with time_machine.travel(at + timedelta(days=1), tick=False):
        answer = client.post(f"/sheet/{sent.code}/delivered/", {"version": sent.version, "day": day})
    assert answer.status_code == 303
    sent.refresh_from_db()
    assert sent.station == Station.HOME


def test_empty_page_says_so(bench):
    client = Client()
    client.force_login(bench.technician)
    assert "Nothing waits to be packed" in client.get("/out/").content.decode()


def test_strangers_are_asked_to_sign_in(client, db):
    assert "/sign-in/" in client.get("/out/").url
