"""What the window says once the device has left, or does not come back: no bag, the reason, no word too many."""

from datetime import datetime
from decimal import Decimal
from types import SimpleNamespace

from django.test import Client

from intake import lifecycle
from intake.stations import SlipReason, Station
from quotes import disputes, payments
from quotes.cards import paying
from shop.bench import repair
from shop.returns import out
from tests import walk
from tests.window_pages import page_of


def test_bag_is_said_only_while_the_device_lies_in_it(
    client: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    assert f'It is safe in bag <span class="num">{order.bag}</span>' in page_of(order, client)
    walk.to(order, Station.WAY_HOME, by=bench.technician, at=at)
    assert order.bag_here == ""
    assert "safe in bag" not in page_of(order, client)


def test_customer_reads_why_it_could_not_be_mended(
    client: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    repair.no_fix(
        order=order, seen_version=order.version, words="The board is cracked.", by=bench.technician, at=at
    )
    order.refresh_from_db()
    assert '<p class="note">The board is cracked.</p>' in page_of(order, client)


def test_lost_parcel_is_not_called_on_its_way(client: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = walk.to(walk.request(at=at), Station.WAY_HOME, by=bench.technician, at=at)
    assert "it is on its way to you." in page_of(order, client)
    lifecycle.hold(order, reason=SlipReason.LOST, by=lifecycle.CLOCK, at=at)
    said = page_of(order, client)
    assert "we are asking the carrier for it." in said
    assert "it is on its way to you." not in said


def test_recycled_device_is_not_called_home(client: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    walk.answer(order, choice="recycle", at=at)
    out.recycle(order=order, seen_version=order.version, method="Destroyed", by=bench.technician, at=at)
    order.refresh_from_db()
    said = page_of(order, client)
    assert '<h2 id="here">Wiped and recycled</h2>' in said
    assert '<h2 id="here">Home</h2>' not in said


def test_what_was_made_good_is_not_called_paid_back(
    client: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    payments.make_good(
        order=order, kind="cash", amount=Decimal(5), key="m", why="A scratch", by=bench.owner, at=at
    )
    said = page_of(order, client)
    assert "Made good by us on" in said and "Paid back" not in said


def test_money_the_bank_took_back_is_not_asked_for_again(
    client: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.to(walk.request(at=at), Station.WAY_HOME, by=bench.technician, at=at)
    payment = order.payments.get()
    disputes.open_dispute(
        payment=payment, amount=payment.amount, fee=Decimal(0), why="Not known to the payer.", answer_by=None,
        key="d", by=bench.owner, at=at,
    )  # fmt: skip
    said = page_of(order, client)
    assert "for now. Please do not pay it again until that is decided" in said
    assert "<dt>To pay</dt>" not in said and "Nothing is owed." not in said
    assert paying.to_pay(order)[0] == 0
    disputes.end_dispute(dispute=payment.disputes.get(), won=False, by=bench.owner, at=at)
    said = page_of(order, client)
    assert "<dt>To pay</dt>" in said and "for now. Please" not in said
    assert paying.to_pay(order)[0] == payment.amount
