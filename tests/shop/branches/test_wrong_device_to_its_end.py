"""The device in the box is not the one on the form: three ways this ends, each with its letter and its money."""

from decimal import Decimal

import pytest

from intake.models import Device, Order
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import payments
from quotes.proof import prove
from shop.branches.wrong_device import Ended, end_wrong_device
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.receive(walk.request(at=at), by=bench.technician, at=at, serial_read="ZZ-0471")


def end(order, bench, at, how, **more):
    given = {"words": "A typing slip, says Mara.", "serial": "ZZ-0471", **more}
    end_wrong_device(
        order=order, seen_version=order.version, ended=Ended(how=how, **given), by=bench.technician, at=at
    )
    return Order.objects.get(pk=order.pk)


def test_nothing_is_found_before_it_is_cleared_up(order, bench, at):
    with pytest.raises(Refused, match="Clear that up"):
        walk.find(order, by=bench.technician, at=at)


def test_right_device_goes_on_with_the_serial_that_was_read(order, bench, at, kinds):
    order = end(order, bench, at, "form")
    assert order.device.serial == "ZZ-0471" and not order.slips.filter(ended_at__isnull=True).exists()
    assert order.slip_ends.get().how == "form" and "ZZ-0417" in order.slips.get().end_note
    order = walk.to(order, Station.HOME, by=bench.technician, at=at)
    assert kinds(order)[1:4] == ["arrived", "wrong_device_form", "quote"]
    assert order.outcome == Outcome.FIXED and prove() == []


def test_other_device_has_a_row_of_its_own(order, bench, at, kinds):
    before = order.device_id
    order = end(order, bench, at, "swapped", serial="QQ-9", make="Quibbet", model="Phone 3", colour="blue")
    assert order.device_id != before and order.device.what == "Quibbet Phone 3, phone, blue"
    assert Device.objects.get(pk=before).serial == "ZZ-0417"
    assert kinds(order)[-1] == "wrong_device_swapped"
    assert "Quibbet Phone 3, serial QQ-9" in order.letters.get(kind="wrong_device_swapped").text


def test_sent_back_owes_the_return_post_alone(order, bench, at, kinds):
    order = end(order, bench, at, "back")
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.DECLINED)
    assert payments.balance(order) == Decimal("12.00")
    assert "$12.00" in order.letters.get(kind="wrong_device_back").text
    walk.pay(order, by=bench.technician, at=at)
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert kinds(order)[2:] == ["wrong_device_back", "paid", "on_its_way", "home"]
    assert payments.balance(order) == 0 and prove() == []


def test_ends_are_refused_without_serial_words_or_a_way(order, bench, at):
    for how, more, field in (
        ("form", {"serial": ""}, "serial"),
        ("form", {"words": ""}, "words"),
        ("safe", {}, "how"),
    ):
        with pytest.raises(Refused) as refused:
            end(order, bench, at, how, **more)
        assert refused.value.field == field
    end(order, bench, at, "form")
    with pytest.raises(Refused, match="taken off already"):
        end(order, bench, at, "form")


def test_imei_is_kept_as_an_imei(order, bench, at):
    order = end(order, bench, at, "form", serial="49 015420 323751 8")
    assert (order.device.imei, order.device.serial) == ("490154203237518", "")


def test_device_that_other_sheets_share_stays_as_it_is_there(order, bench, at):
    other = walk.request(at=at)
    Order.objects.filter(pk=other.pk).update(device=order.device)
    end(order, bench, at, "form")
    other.refresh_from_db()
    assert other.device.serial == "ZZ-0417"


def test_slip_is_ended_on_the_sheet_with_what_was_typed_kept(order, staff, post):
    text = staff.get(f"/sheet/{order.code}/").content.decode()
    assert "Say how it ended" in text and 'value="ZZ-0471"' in text
    wrong = post(order, "wrong-device", how="form", words="Said by phone.", serial="")
    assert wrong.status_code == 422 and "Write the serial that is on the device." in wrong.content.decode()
    assert "Said by phone." in wrong.content.decode()
    assert (
        post(order, "wrong-device", how="form", words="Said by phone.", serial="ZZ-0471").status_code == 303
    )
    assert not order.slips.filter(ended_at__isnull=True).exists()


def test_bare_word_takes_no_such_slip_off(order, post):
    answer = post(order, "release", reason="wrong device", note="Never mind.")
    assert answer.status_code == 422 and order.slips.get().ended_at is None
