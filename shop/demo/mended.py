"""Orders of the demonstration that ended well, each a branch of the trade. All invented."""

import datetime as dt
from decimal import Decimal
from typing import Any

from intake.lifecycle import CUSTOMER
from intake.models import Order
from quotes import diagnosis, offers, payments
from quotes.diagnosis import Found
from quotes.models import Part, Remedy
from shop.bench import repair, work
from shop.branches import comeback, wrong_device
from shop.demo import cast, marked_pair, price_book, steps
from shop.demo.good_shelf import said
from shop.demo.stage import World, came, fee_of, finish, missing, request, talk
from shop.vault import unlocking

# For the chip that is ordered for Ines alone.
DEPOSIT = Decimal("31.00")
# What Dov's device held.
PHOTOS, PHOTO_BYTES = 212, 14_200_000_000


def mara(world: World) -> Order:
    """Wrong idea, agreed by the standing limit, torn pad, proof before and after; home a day early."""
    order = request(world, cast.MARA, at=world.ago(21), photos=True)
    steps.receive(order, by=world.packer, at=world.ago(18))
    steps.find(
        order, by=world.owner, at=world.ago(17), reading=said(order, "Microphone bias d OL"), idea_answer="not",
        idea_words="The microphone itself is good; the line that feeds it was broken.",
    )  # fmt: skip
    marked_pair.before(world, order, at=world.ago(16.95))
    steps.quote(order, by=world.owner, at=world.ago(16.9), promise=world.ago(13.8).date())
    steps.mend(order, by=world.owner, at=world.ago(15.8))
    steps.read(order, said(order, "Microphone bias d .452", after=True), by=world.owner, at=world.ago(15.5))
    marked_pair.after(world, order, at=world.ago(15.45))
    steps.test_and_pass(order, by=world.owner, at=world.ago(15.4), reading=None)
    talk(world, order, 12, at=world.ago(15.2))
    finish(world, order, at=world.ago(18 - 3.18))
    return order


def tobin(world: World) -> Order:
    """Rush, and the caution that a used phone may not fly as mail."""
    order = request(world, cast.TOBIN, at=world.ago(12))
    steps.receive(order, by=world.packer, at=world.ago(9, 3))
    steps.find(
        order, by=world.owner, at=world.ago(9, 2), minutes=14, fault_class="shorted capacitor",
        reading=said(order, "Main rail r 0.3"), words="One small part shorts the main power line. The battery is good.",
        idea_answer="not", idea_words="The battery holds its charge; it never got the chance to give it.",
    )  # fmt: skip
    rush = [
        {
            "kind": "rush",
            "text": "Rush: first on the bench, not in the post",
            "quantity": "1",
            "price": "35.00",
        }
    ]
    lines = steps.lines_of(["Replace shorted capacitor"], ["CAP-10U"], more=rush)
    words = "It goes back by surface post: used devices with a lithium battery do not fly as mail."
    steps.quote(order, by=world.owner, at=world.ago(9, 1.8), lines=lines, words=words)
    steps.answer(order, at=world.ago(9, 1.2))
    steps.mend(order, by=world.owner, at=world.ago(9, 0.8), minutes=20)
    after = said(order, "Main rail r 1200", after=True)
    steps.test_and_pass(order, by=world.owner, at=world.ago(9, 0.4), reading=after, without_code=True)
    talk(world, order, 10, at=world.ago(9, 0.3))
    finish(world, order, at=world.ago(8.8), home=6)
    return order


def ines(world: World) -> Order:
    """Part on order, second fault in mid-repair, a promise made anew."""
    order = request(world, cast.INES, at=world.ago(27), photos=True)
    steps.receive(order, by=world.packer, at=world.ago(22), weight_grams=2140)
    steps.find(
        order, by=world.owner, at=world.ago(21), minutes=40, fault_class="liquid corrosion",
        reading=said(order, "Charger in r 12"), words="Tea reached the charge circuit. The rest of the board is clean.",
        idea_answer="partly", idea_words="The board stays; one corner of it is rebuilt.",
    )  # fmt: skip
    first = steps.lines_of([], ["CHG-S2"], post="18.00", more=[
        {"kind": "labour", "text": "Corrosion cleaned, charge circuit rebuilt", "minutes": 120, "quantity": "1", "price": "200.00"},
    ])  # fmt: skip
    steps.quote(
        order, by=world.owner, at=world.ago(20.8), lines=first, promise=world.ago(10).date(), deposit=DEPOSIT
    )
    missing(world, "CHG-S2", 2, at=world.ago(20.4), why="two were cracked in the tray")
    steps.answer(order, at=world.ago(20))
    payments.record_payment(
        order=order, kind="card", purpose="deposit", amount=DEPOSIT, fee=fee_of(DEPOSIT), key=f"demo-deposit-{order.pk}",
        by=world.owner, at=world.ago(19.6),
    )  # fmt: skip
    came(world, "CHG-S2", 3, "70.10", at=world.ago(14.4), why="special order")
    repair.parts_came(order=order, by=world.owner, at=world.ago(14.4))
    work.write_down(order=order, kind="repair", minutes=80, by=world.owner, at=world.ago(13))
    _second_fault(world, order, first)
    work.write_down(order=order, kind="look", minutes=15, by=world.owner, at=world.ago(12))
    steps.mend(order, by=world.owner, at=world.ago(11), minutes=50)
    after = said(order, "Charger in r 8200", after=True)
    steps.test_and_pass(order, by=world.owner, at=world.ago(10), reading=after, minutes=40)
    talk(world, order, 25, at=world.ago(9.5))
    finish(world, order, at=world.ago(9), cost="14.20")
    return order


def _second_fault(world: World, order: Order, first: list[dict[str, Any]]) -> None:
    found = Found(
        fault_class="driver chip", place="Keyboard light driver", mendable="yes", idea_answer="partly",
        words="With the charge circuit alive again the keyboard light stays dark: its driver was wetted too.",
    )  # fmt: skip
    order.refresh_from_db()
    at = world.ago(12.8)
    finding = diagnosis.second_finding(
        order=order, found=found, key="demo-second-fault-1", by=world.owner, at=at
    )
    offers.second_fault(order=order, seen_version=order.version, found=finding, by=world.owner, at=at)
    second = {"kind": "labour", "text": "Keyboard light driver replaced", "minutes": 30, "quantity": "1", "price": "40.00"}  # fmt: skip
    steps.quote(
        order, by=world.owner, at=world.ago(12.7), lines=[*first, second], promise=world.ago(8).date()
    )
    steps.answer(order, at=world.ago(12.1))


def dov(world: World) -> Order:
    """Data only: the power chip is dead, the photos live. His code is looked at once, and erased as the device leaves."""
    order = request(world, cast.DOV, at=world.ago(16))
    unlocking.give(order=order, shape="digits", code="740213", by=CUSTOMER, at=world.ago(15.9))
    steps.receive(order, by=world.packer, at=world.ago(13))
    steps.find(
        order, by=world.owner, at=world.ago(12), minutes=62, fault_class="power chip",
        reading=said(order, "Processor rail r 0.9"), words="The power chip is dead and tied to this board. A new one seldom takes; the old one can be kept alive long enough to copy your photos.",
    )  # fmt: skip
    saved = [
        {"kind": "labour", "remedy": Remedy.objects.get(name=price_book.RECOVER).pk, "quantity": "1", "choice": "data"},
        {"kind": "part", "part": Part.objects.get(number="STICK-32").pk, "quantity": "1", "choice": "data"},
    ]  # fmt: skip
    steps.quote(
        order, by=world.owner, at=world.ago(11.8), lines=steps.lines_of(["Replace power chip"], [], more=saved),
        choices={"mend": {"chance": "poor"}, "data": {"on": True, "chance": "good"}},
    )  # fmt: skip
    steps.answer(order, choice="data", at=world.ago(10.5))
    unlocking.show(
        order=order, reason="To unlock the storage and copy the photos", by=world.owner, at=world.ago(8.6)
    )
    steps.mend(order, by=world.owner, at=world.ago(8.4), minutes=95)
    steps.copy_data(
        order, by=world.owner, at=world.ago(7.7), files=PHOTOS, bytes_long=PHOTO_BYTES,
        delete_on=(world.as_of - dt.timedelta(hours=12)).date(),
    )  # fmt: skip
    after = said(order, "Processor rail r 6.4", after=True)
    steps.test_and_pass(
        order,
        by=world.owner,
        at=world.ago(7.5),
        reading=after,
        minutes=20,
        outcome="data only",
        symptom="bad",
    )
    talk(world, order, 20, at=world.ago(7))
    finish(world, order, at=world.ago(6.6))
    return order


def garrick(world: World) -> Order:
    """Serial mixed up on the form; cleared up, mended, disputed later."""
    order = request(world, cast.GARRICK, at=world.ago(20), photos=True)
    contents = [
        {"what": "Phone", "announced": True, "here": True},
        {"what": "SIM tray", "announced": True, "here": False},
    ]
    steps.receive(
        order, by=world.packer, at=world.ago(17), serial_read="ZZ-0471", contents=contents, condition="Deep scratch across the glass",
    )  # fmt: skip
    ended = wrong_device.Ended(how="form", words="Typing slip, says the customer.", serial="ZZ-0471")
    wrong_device.end_wrong_device(
        order=order, seen_version=order.version, ended=ended, by=world.owner, at=world.ago(16.4)
    )
    steps.find(
        order, by=world.owner, at=world.ago(16), minutes=22, fault_class="cracked joint",
        reading=said(order, "Antenna line r 900"), words="The fall cracked a joint at the antenna switch.",
    )  # fmt: skip
    steps.quote(
        order, by=world.owner, at=world.ago(15.9), remedy="Rework antenna switch joint", parts=("ANT-J1",)
    )
    steps.answer(order, at=world.ago(15.4))
    steps.mend(order, by=world.owner, at=world.ago(14.9), minutes=35)
    after = said(order, "Antenna line r 2100", after=True)
    steps.test_and_pass(order, by=world.owner, at=world.ago(14.6), reading=after)
    finish(world, order, at=world.ago(14.4))
    talk(world, order, 40, at=world.ago(5))
    return order


def wendeline(world: World, before: Order) -> Order:
    """A comeback: our own joint cracked; mended free."""
    order = request(world, cast.WENDELINE, at=world.ago(7))
    Order.objects.filter(pk=order.pk).update(comeback_of=before)
    order.refresh_from_db()
    steps.receive(order, by=world.packer, at=world.ago(4.2))
    cause = comeback.Said(cause="work", words="A joint we made has cracked.")
    comeback.say_cause(order=order, said=cause, key="demo-cause-1", by=world.owner, at=world.ago(4))
    steps.find(
        order, by=world.owner, at=world.ago(3.9), minutes=12, fault_class="own work",
        reading=said(order, "Charger in r 60"), words="A joint we made in December has cracked. That is ours; you pay nothing.",
    )  # fmt: skip
    comeback.tell_and_offer(order=order, at=world.ago(3.9))
    lines = [
        {"kind": "labour", "text": "Our joint made anew, under warranty", "minutes": 25, "quantity": "1", "price": "0"},
        {"kind": "part", "part": Part.objects.get(number="FLUX-1").pk, "quantity": "1", "price": "0"},
        {"kind": "post", "text": "Return post, on us", "quantity": "1", "price": "0"},
    ]  # fmt: skip
    steps.quote(order, by=world.owner, at=world.ago(3.85), lines=lines)
    steps.answer(order, at=world.ago(3.6))
    steps.mend(order, by=world.owner, at=world.ago(3.3), minutes=25)
    after = said(order, "Charger in r 8100", after=True)
    steps.test_and_pass(order, by=world.owner, at=world.ago(3.2), reading=after, minutes=20)
    talk(world, order, 8, at=world.ago(3.1))
    finish(world, order, at=world.ago(3))
    return order
