"""The way out: packing equal to goods in, once, warranty from delivery in the shop's own zone, recycling with its record."""

import dataclasses
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from intake.lifecycle import LifecycleError
from intake.models import Letterhead, Order
from intake.refusals import Refused
from intake.stations import Outcome, Station
from shop.models import Override, Parcel, Warranty, WipeRecord
from shop.returns import out
from tests import walk

PACKED = out.Packed(
    carrier="Surface post",
    weight_grams=310,
    contents=[{"what": "Phone", "packed": True}, {"what": "Sleeve", "packed": True}],
    tracking="LA473124829ZZ",
    cost=Decimal("9.40"),
)


@pytest.fixture
def order(bench, at):
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    return walk.pay(order, by=bench.technician, at=at)


def send(order, bench, at, key="k", **changes):
    return out.send(
        order=order,
        seen_version=order.version,
        packed=dataclasses.replace(PACKED, **changes),
        address=order.return_address,
        key=key,
        by=bench.technician,
        at=at,
    )


def test_sent_once_for_one_key(bench, order, at):
    assert send(order, bench, at) == send(order, bench, at)
    assert (order.station, Parcel.objects.count()) == (Station.WAY_HOME, 1)
    assert order.sent_at == at and order.letters.filter(kind="on_its_way").count() == 1


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"carrier": " "}, "carrier"),
        ({"weight_grams": 0}, "weight_grams"),
        ({"weight_grams": 50_001}, "weight_grams"),
        ({"cost": Decimal("-0.01")}, "cost"),
        ({"contents": [{"what": "Phone", "packed": True}]}, "contents"),
        ({"contents": [{"what": "Phone", "packed": True}, {"what": "Sleeve", "packed": False}]}, "contents"),
        ({"tracking": "LA473124828ZZ"}, "tracking"),
    ],
)
def test_wrong_packing_is_refused_with_its_field_and_leaves_no_trace(bench, order, at, changes, field):
    with pytest.raises(Refused) as refused:
        send(order, bench, at, **changes)
    assert refused.value.field == field
    order.refresh_from_db()
    assert order.station == Station.GOODS_OUT and not Parcel.objects.exists()
    assert not order.papers.filter(maker="packing_slip").exists()


def test_what_did_not_come_in_need_not_go_back(bench, at):
    order = walk.request(at=at)
    contents = [
        {"what": "Phone", "announced": True, "here": True},
        {"what": "Cable", "announced": True, "here": False},
    ]
    walk.receive(order, by=bench.technician, at=at, contents=contents)
    assert out.contents_to_pack(order) == ["Phone"]


def test_unpaid_stays_until_a_person_lets_it_go_with_a_reason(bench, at):
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    with pytest.raises(Refused, match="is still owed"):
        send(order, bench, at)
    with pytest.raises(Refused, match="Say why"):
        out.let_go_unpaid(order=order, reason="  ", by=bench.technician, at=at)
    for reason in ("Known for years", "A second reason"):
        out.let_go_unpaid(order=order, reason=reason, by=bench.technician, at=at)
    override = Override.objects.get()
    assert (override.reason, override.owed) == ("Known for years", order.invoices.get().total)
    assert order.history.filter(what="let go unpaid").count() == 1
    send(order, bench, at)


def test_trade_customers_pay_by_account(bench, at):
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    order.customer.trade = True
    order.customer.save()
    send(order, bench, at)


def test_nothing_is_sent_before_goods_out(bench, at):
    order = walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)
    with pytest.raises(Refused, match="not at goods out"):
        send(order, bench, at)


@pytest.mark.parametrize(
    ("zone", "delivered", "starts"),
    [
        # 23:30 UTC is the next day in the east and the same day in the west; rules of the tz database.
        ("Pacific/Auckland", datetime(2026, 2, 9, 23, 30, tzinfo=UTC), date(2026, 2, 10)),
        ("America/New_York", datetime(2026, 2, 10, 3, 30, tzinfo=UTC), date(2026, 2, 9)),
        ("UTC", datetime(2026, 2, 9, 23, 30, tzinfo=UTC), date(2026, 2, 9)),
    ],
)
def test_warranty_runs_from_the_day_of_delivery_in_the_shops_zone(bench, order, at, zone, delivered, starts):
    Letterhead.objects.update(zone=zone)
    send(order, bench, at)
    out.delivered(order=order, seen_version=order.version, by=bench.technician, at=delivered)
    warranty = Warranty.objects.get(order=order)
    days = order.quotes.get().warranty_days
    assert (warranty.starts, warranty.ends) == (starts, starts + timedelta(days=days))
    assert order.parcel.delivered_at is None or Parcel.objects.get().delivered_at == delivered
    assert order.station == Station.HOME and order.letters.filter(kind="home").count() == 1


def test_no_warranty_where_nothing_was_mended(bench, at):
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    walk.answer(order, at=at, choice="back")
    walk.pay(order, by=bench.technician, at=at)
    with pytest.raises(Refused, match="Look first, then tick"):
        send(order, bench, at)
    send(order, bench, at, checked=("closed", "parts", "battery", "record"))
    out.delivered(order=order, seen_version=order.version, by=bench.technician, at=at)
    assert not Warranty.objects.exists() and order.outcome == Outcome.DECLINED


def test_delivered_twice_is_delivered_once(bench, order, at):
    send(order, bench, at)
    seen = order.version
    out.delivered(order=order, seen_version=seen, by=bench.technician, at=at)
    with pytest.raises(LifecycleError):
        out.delivered(order=order, seen_version=seen, by=bench.technician, at=at + timedelta(days=3))
    assert Parcel.objects.get().delivered_at == at


def test_recycling_needs_the_customers_wish_and_the_record(bench, order, at):
    with pytest.raises(Refused, match="has not asked"):
        out.recycle(order=order, seen_version=order.version, method="purge", by=bench.technician, at=at)
    wish = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    walk.answer(wish, at=at, choice="recycle")
    with pytest.raises(Refused, match="clear, purge or destroy"):
        out.recycle(order=wish, seen_version=wish.version, method=" ", by=bench.technician, at=at)
    with pytest.raises(Refused, match="to be recycled, not sent"):
        send(wish, bench, at, key="r")
    out.recycle(
        order=wish, seen_version=wish.version, method="Purge, keys erased", by=bench.technician, at=at
    )
    assert Order.objects.get(pk=wish.pk).station == Station.HOME
    assert WipeRecord.objects.get().method == "Purge, keys erased"
    assert wish.letters.filter(kind="recycled").count() == 1
