"""A bad battery: out and safe, or given to a licensed collector; the device goes on, goes back, or is given away."""

from decimal import Decimal

import pytest

from intake.models import Letterhead, Order
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import credits, payments
from quotes.proof import prove
from shop.branches.quarantine import NOT_WIPED, Dealt, cell_now, end_quarantine
from shop.returns import out
from shop.traveller.bodies.goods_out import post_rule_of
from tests import walk

WORDS = "Tarn took it out; it lies in the steel box in the yard."
CONSENT = "Mara, by letter of 2 February: give it away."


@pytest.fixture
def order(bench, at):
    return walk.receive(walk.request(at=at), by=bench.technician, at=at, cell_state="swollen")


def end(order, bench, at, how, **more):
    dealt = Dealt(**{"how": how, "words": WORDS, **more})
    end_quarantine(order=order, seen_version=order.version, dealt=dealt, by=bench.technician, at=at)
    return Order.objects.get(pk=order.pk)


def test_device_goes_on_without_its_battery_to_its_home(order, bench, at, kinds):
    order = end(order, bench, at, "safe")
    assert cell_now(order) == "none" and order.slip_ends.get().how == "safe"
    order = walk.to(order, Station.GOODS_OUT, by=bench.technician, at=at)
    assert cell_now(order) == "sound", "a mended device may have a new battery"
    walk.pay(order, by=bench.technician, at=at)
    assert out.gate(order) == ""
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert kinds(order)[1:4] == ["arrived", "battery_out", "quote"]
    assert prove() == []


def test_open_quarantine_bars_the_way_out(order, bench, at):
    order = walk.to(order, Station.GOODS_OUT, by=bench.technician, at=at)
    walk.pay(order, by=bench.technician, at=at)
    assert "quarantine" in out.gate(order)


def test_device_goes_back_without_its_battery(order, bench, at, kinds):
    order = end(order, bench, at, "battery", then="back")
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.DECLINED)
    assert payments.balance(order) == Decimal("12.00") and order.slip_ends.get().how == "given"
    assert "licensed" in order.letters.get(kind="battery_out").text
    assert post_rule_of(order, Letterhead.current()).may_go
    walk.pay(order, by=bench.technician, at=at)
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert kinds(order)[2:] == ["battery_out", "paid", "on_its_way", "home"]
    assert prove() == []


def test_whole_device_is_given_away_with_the_customers_word(order, bench, at, kinds):
    with pytest.raises(Refused) as refused:
        end(order, bench, at, "device")
    assert refused.value.field == "consent"
    order = end(order, bench, at, "device", consent=CONSENT)
    assert (order.station, order.outcome) == (Station.HOME, Outcome.RECYCLED)
    assert order.wipe.method == NOT_WIPED and CONSENT in order.slip_ends.get().words
    assert not order.invoices.exists() and kinds(order)[2:] == ["device_given"]
    assert prove() == []


def test_declined_device_is_given_away_once_its_post_is_credited(order, bench, at):
    walk.to(order, Station.GO_AHEAD, by=bench.technician, at=at)
    walk.answer(order, choice="back", at=at)
    order.refresh_from_db()
    with pytest.raises(Refused, match="Credit the return post first"):
        end(order, bench, at, "device", consent=CONSENT)
    credits.credit(invoice=order.invoices.get(), why="Nothing is posted", by=bench.owner, at=at)
    order = end(order, bench, at, "device", consent=CONSENT)
    assert order.station == Station.HOME and payments.balance(order) == 0
    assert prove() == []


def test_swollen_battery_does_not_become_sound(order, bench, at):
    with pytest.raises(Refused, match="does not become sound"):
        end(order, bench, at, "sound")


def test_battery_that_nobody_had_seen_may_be_sound(bench, at):
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at, cell_state="unseen")
    order = end(order, bench, at, "sound")
    assert cell_now(order) == "sound" and not order.slip_ends.exists()


def test_going_back_is_said_at_30_only(order, bench, at):
    walk.to(order, Station.REPAIR, by=bench.technician, at=at)
    with pytest.raises(Refused) as refused:
        end(order, bench, at, "safe", then="back")
    assert refused.value.field == "then"
    with pytest.raises(Refused) as refused:
        end(order, bench, at, "device", consent=CONSENT)
    assert refused.value.field == "how"


def test_recycling_waits_for_the_end_of_a_quarantine(order, bench, at):
    walk.to(order, Station.GO_AHEAD, by=bench.technician, at=at)
    walk.answer(order, choice="recycle", at=at)
    order.refresh_from_db()
    given = {"order": order, "seen_version": order.version, "method": "Destroy", "by": bench.owner, "at": at}
    with pytest.raises(Refused, match="in quarantine"):
        out.recycle(**given)
    end(order, bench, at, "battery")
    out.recycle(**given)


def test_quarantine_is_ended_on_the_sheet(order, staff, post):
    text = staff.get(f"/sheet/{order.code}/").content.decode()
    assert "never goes back by ordinary post" in text and "Say how it ended" in text
    wrong = post(order, "battery", how="device", then="on", words="Given to the yard.", consent="")
    assert wrong.status_code == 422 and "Write what they said, when and how." in wrong.content.decode()
    assert "Given to the yard." in wrong.content.decode()
    assert post(order, "battery", how="safe", then="on", words="Out.", consent="").status_code == 303
    assert not order.slips.filter(ended_at__isnull=True).exists()
