"""A page that was drawn before somebody else signed: it changes no signed test and takes no part any more."""

from datetime import timedelta

import pytest

from intake import lifecycle
from intake.lifecycle import SheetMoved
from intake.models import Order
from intake.refusals import Refused
from intake.stations import Clock, SlipReason, Station
from quotes.models import Part
from shop.bench import repair, testing
from shop.models import Parcel, TestRow
from shop.returns import out
from tests import walk


def test_row_read_before_the_signature_is_not_written_after_it(bench, at):
    order = walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)
    row = TestRow.objects.select_related("run").filter(run__order=order).first()
    walk.test_and_pass(order, by=bench.technician, at=at)
    with pytest.raises(Refused, match="signed"):
        testing.mark(row=row, result="bad")
    assert TestRow.objects.get(pk=row.pk).result == "ok"


def test_part_is_not_taken_for_an_order_that_has_left_the_bench(bench, at):
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    stale = Order.objects.get(pk=order.pk)
    walk.mend(order, by=bench.technician, at=at)
    part = Part.objects.get(number="WIRE-002")
    with pytest.raises(Refused, match="station 60"):
        repair.use_part(order=stale, part=part, quantity=1, key="late", by=bench.technician, at=at)


def test_second_parcel_of_an_old_page_is_told_that_the_sheet_moved(bench, at):
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    walk.pay(order, by=bench.technician, at=at)
    stale = Order.objects.get(pk=order.pk)
    walk.send(order, by=bench.technician, at=at)
    with pytest.raises(SheetMoved):
        walk.send(stale, by=bench.technician, at=at)
    assert Parcel.objects.count() == 1


def test_second_wipe_of_an_old_page_is_told_that_the_sheet_moved(bench, at):
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    walk.answer(order, at=at, choice="recycle")
    stale = Order.objects.get(pk=order.pk)
    for sheet, taken in ((order, True), (stale, False)):
        wipe = {"seen_version": stale.version, "method": "Purge", "by": bench.technician, "at": at}
        if taken:
            out.recycle(order=sheet, **wipe)
        else:
            with pytest.raises(SheetMoved):
                out.recycle(order=sheet, **wipe)


def test_closing_the_sheet_ends_every_open_slip(bench, at):
    order = walk.to(walk.request(at=at), Station.WAY_HOME, by=bench.technician, at=at)
    lifecycle.hold(order, reason=SlipReason.LOST, by=lifecycle.CLOCK, at=at + timedelta(hours=1))
    walk.deliver(order, by=bench.technician, at=at)
    slip = order.slips.get()
    assert slip.ended_at == slip.started_at and slip.ended_by == bench.technician.username
    assert order.clock() == Clock.NOBODY
