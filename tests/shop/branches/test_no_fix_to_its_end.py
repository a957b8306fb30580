"""What cannot be mended goes home honestly: only what was told before is owed, paid or not, with its checks."""

from decimal import Decimal

import pytest

from intake.models import Order
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import payments, stock
from quotes.proof import prove
from shop.bench import repair
from shop.returns import out
from tests import walk


def given_up(station, bench, at):
    order = walk.to(walk.request(at=at), station, by=bench.technician, at=at)
    repair.no_fix(
        order=order, seen_version=order.version, words="Two tries let go.", by=bench.technician, at=at
    )
    return Order.objects.get(pk=order.pk)


@pytest.mark.parametrize("station", [Station.REPAIR, Station.TEST])
def test_no_fix_pays_its_post_and_goes_home(station, bench, at, kinds):
    order = given_up(station, bench, at)
    assert payments.balance(order) == order.quotes.get().no_fix_total == Decimal("12.00")
    assert stock.set_aside(order) == {}
    with pytest.raises(Refused, match="still owed"):
        walk.send(order, by=bench.technician, at=at)
    walk.pay(order, by=bench.technician, at=at)
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert kinds(order)[-4:] == ["no_fix", "paid", "on_its_way", "home"]
    assert order.outcome == Outcome.NO_FIX and not hasattr(order, "warranty")
    assert "Looked at:" in order.lines.get(station=Station.GOODS_OUT).note
    assert payments.balance(order) == 0 and prove() == []


def test_no_fix_that_nobody_pays_goes_with_a_reason(bench, at):
    order = given_up(Station.REPAIR, bench, at)
    out.let_go_unpaid(order=order, reason="A friend of the shop", by=bench.owner, at=at)
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    payments.write_off(order=order, amount=Decimal("12"), key="w", why="Never paid", by=bench.owner, at=at)
    assert payments.balance(order) == 0 and prove() == []


def test_nothing_to_offer_goes_home_for_its_post(bench, at, kinds):
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.technician, at=at)
    order = walk.find(order, by=bench.technician, at=at, mendable="no")
    walk.pay(order, by=bench.technician, at=at)
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert kinds(order)[-4:] == ["nothing_to_offer", "paid", "on_its_way", "home"]
    assert order.invoices.get().total == Decimal("12.00") and prove() == []
