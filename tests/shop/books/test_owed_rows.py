"""What is read beside the lines: parts, devices that wait, papers of money, days of the bench."""

import datetime as dt
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.test import Client

from intake import lifecycle
from intake.lifecycle import staff
from intake.models import Customer, Order
from intake.stations import SlipReason
from quotes import disputes, lots, payments, stock
from quotes.models import Part, Payment
from shop import clock
from shop.bench import work
from shop.books.house import house
from shop.books.owed import device_rows, paper_rows, stock_rows
from shop.books.owed.queries import storage_days
from shop.opening import STORAGE
from tests import walk

DAY = dt.timedelta(days=1)


def _seconds(at: dt.datetime) -> int:
    return int(at.timestamp())


def _window(at: dt.datetime) -> dict[str, int]:
    return {"since": _seconds(at - 30 * DAY), "until": _seconds(at + 60 * DAY)}


def _part(number: str, at: dt.datetime):
    return {row.number: row for row in stock_rows.parts(house(), now=_seconds(at))}[number]


def test_part_with_its_stopped_lot_its_use_and_its_last_move(bench: SimpleNamespace, at: dt.datetime) -> None:
    part, by = Part.objects.get(number="CHG-L22"), staff(bench.owner)
    lot = lots.open_lot(part=part, supplier="Tin Street Parts", marks="", by=bench.owner, at=at)
    stock.receive(part=part, quantity=6, unit_cost=Decimal("2.00"), key="lot", by=by, at=at, lot=lot)
    order = walk.request(at=at)
    stock.take(part=part, quantity=2, order=order, key="used", by=by, at=at + DAY, lot=lot)
    stock.take(
        part=part, quantity=1, order=order, key="spoiled", by=by, at=at + DAY, spoiled=True, why="x", lot=lot
    )
    lots.stop(lot=lot, why="fakes", by=bench.owner, at=at + 2 * DAY)
    row = _part("CHG-L22", at + 3 * DAY)
    # Nine at 1.45 and six at 2.00 are 1.67 each; twelve are left.
    assert (row.on_hand, row.stopped, row.used, row.worth) == (12, 3, 2, 2004)
    assert row.moved == _seconds(at + DAY)
    assert _part("CHG-L22", at + 182 * DAY).used == 0


def test_part_that_is_not_there_is_shown_only_where_it_should_be(
    bench: SimpleNamespace, at: dt.datetime
) -> None:
    Part.objects.create(number="GONE", name="x")
    Part.objects.create(number="WANTED", name="x", reorder_at=2)
    Part.objects.create(number="OLD", name="x", reorder_at=2, active=False)
    found = {row.number for row in stock_rows.parts(house(), now=_seconds(at))}
    assert "WANTED" in found
    assert not {"GONE", "OLD"} & found


def test_counts_of_the_window_alone(bench: SimpleNamespace, at: dt.datetime) -> None:
    part, by = Part.objects.get(number="CAP-10U"), staff(bench.owner)
    stock.count(part=part, counted=118, key="c1", by=by, at=at, why="torn")
    stock.count(part=part, counted=119, key="c2", by=by, at=at + DAY, why="found one")
    rows = stock_rows.counted(house(), since=_seconds(at), until=_seconds(at + DAY))
    assert [(row.number, row.change, row.cost, row.why) for row in rows] == [("CAP-10U", -2, -6, "torn")]
    assert len(stock_rows.counted(house(), since=_seconds(at), until=_seconds(at + 2 * DAY))) == 2


def _at_go_ahead(bench: SimpleNamespace, at: dt.datetime) -> Order:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    walk.quote(order, by=bench.owner, at=at)
    return order


def _ready(bench: SimpleNamespace, at: dt.datetime) -> Order:
    order = _at_go_ahead(bench, at)
    walk.answer(order, at=at)
    walk.mend(order, by=bench.owner, at=at)
    walk.test_and_pass(order, by=bench.owner, at=at)
    return order


def test_devices_that_wait_for_their_customer(bench: SimpleNamespace, at: dt.datetime) -> None:
    silent, ready, gone, asked = (
        _at_go_ahead(bench, at), _ready(bench, at), _ready(bench, at), walk.request(at=at),
    )  # fmt: skip
    walk.receive(asked, by=bench.technician, at=at)
    lifecycle.hold(asked, reason=SlipReason.CUSTOMER, by=staff(bench.owner), at=at + DAY, note="Which box?")
    walk.send(walk.pay(gone, by=bench.owner, at=at), by=bench.owner, at=at)
    walk.request(at=at)
    found = {row.order: row for row in device_rows.waiting()}
    assert set(found) == {silent.pk, ready.pk, asked.pk}
    assert (found[silent.pk].since, found[silent.pk].pay_first) == (_seconds(at), False)
    assert found[ready.pk].pay_first
    assert found[asked.pk].since == _seconds(at + DAY)


def test_letters_are_those_sent_since_it_waits(bench: SimpleNamespace, at: dt.datetime) -> None:
    order = _at_go_ahead(bench, at)
    clock.tick(at=at + 4 * DAY)
    clock.tick(at=at + 8 * DAY)
    (row,) = device_rows.waiting()
    assert (row.order, row.letters) == (order.pk, (_seconds(at + 4 * DAY), _seconds(at + 8 * DAY)))


@pytest.mark.parametrize(
    ("words", "days"),
    [(STORAGE, 30), ("We keep it for 45 days.", 45), ("Kept 1 day", 1), ("Kept for a month.", 30), ("", 30)],
)
def test_days_of_storage_are_those_the_shop_told(words: str, days: int) -> None:
    assert storage_days(words) == days


def test_bench_minutes_by_open_days(bench: SimpleNamespace, at: dt.datetime) -> None:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    for back, minutes in ((1, 30), (20, 12), (40, 99)):
        work.write_down(order=order, kind="look", minutes=minutes, by=bench.owner, at=at + (50 - back) * DAY)
    found = device_rows.bench_days(house(), now=_seconds(at + 50 * DAY))
    # Four weeks of the usual five days.
    assert found == {"worked": 42, "open_days": 20}


def test_orders_that_paid_by_month_and_in_the_window(bench: SimpleNamespace, at: dt.datetime) -> None:
    first, second = _ready(bench, at), _ready(bench, at)
    walk.pay(first, by=bench.owner, at=at)
    payments.record_payment(
        order=second, kind="card", amount=Decimal(5), key="part", by=bench.owner, at=at + DAY
    )
    payments.record_payment(
        order=second, kind="card", amount=Decimal(6), key="more", by=bench.owner, at=at + 2 * DAY
    )
    payments.record_payment(
        order=second, kind="card", amount=Decimal(7), key="rest", by=bench.owner, at=at + 30 * DAY
    )
    months = paper_rows.paid_orders(house(), **_window(at))
    assert {month: paid for month, paid in months.items() if paid} == {"2026-02": 2, "2026-03": 1}
    assert paper_rows.paid_in(house(), **_window(at)) == 2
    assert paper_rows.paid_in(house(), since=_seconds(at + 29 * DAY), until=_seconds(at + 31 * DAY)) == 1


def test_disputes_of_payments_since_and_held_ones_of_any_day(bench: SimpleNamespace, at: dt.datetime) -> None:
    ended, held = _ready(bench, at), _ready(bench, at)
    for order in (ended, held):
        walk.pay(order, by=bench.owner, at=at)
        row = disputes.open_dispute(
            payment=Payment.objects.get(order=order), amount=Decimal(9), fee=Decimal(1), why="x",
            answer_by=at.date(), key=f"d{order.pk}", by=bench.owner, at=at,
        )  # fmt: skip
        if order == ended:
            disputes.end_dispute(dispute=row, won=True, by=bench.owner, at=at)
    rows = paper_rows.disputes(house(), since=_seconds(at))
    assert [(row.order, row.amount, row.end) for row in rows] == [(ended.pk, 900, "won"), (held.pk, 900, "")]
    assert [row.order for row in paper_rows.disputes(house(), since=_seconds(at + DAY))] == [held.pk]


def test_trade_bill_with_its_last_payment(bench: SimpleNamespace, at: dt.datetime) -> None:
    order, consumer = _ready(bench, at), _ready(bench, at)
    Customer.objects.filter(pk=order.customer_id).update(trade=True)
    Customer.objects.filter(pk=consumer.customer_id).exclude(pk=order.customer_id).update(trade=False)
    payments.record_payment(
        order=order, kind="card", amount=Decimal(5), key="p1", by=bench.owner, at=at + DAY
    )
    payments.record_payment(
        order=order, kind="card", amount=Decimal(5), key="p2", by=bench.owner, at=at + 3 * DAY
    )
    rows = {row.order: row for row in paper_rows.trade_bills(house(), **_window(at))}
    assert rows[order.pk].paid == _seconds(at + 3 * DAY)
    assert rows[order.pk].issued == _seconds(at)
    assert (consumer.pk in rows) == (consumer.customer_id == order.customer_id)


def test_owed_page_of_a_shop_without_orders_stands(bench: SimpleNamespace) -> None:
    desk = Client()
    desk.force_login(bench.owner)
    for period in ("week", "all", "no such period"):
        assert desk.get("/books/owed/", {"period": period}).status_code == 200
