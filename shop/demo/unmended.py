"""Orders of the demonstration that were not mended, or wait. All invented."""

import datetime as dt

from intake import lifecycle, questions
from intake.models import Order
from intake.stations import SlipReason
from quotes.diagnosis import Measured
from quotes.models import Part
from shop.bench import repair, work
from shop.demo import cast, steps
from shop.demo.good_shelf import said
from shop.demo.stage import World, cost, finish, paid, request, talk
from shop.returns import out


def lenka(world: World) -> Order:
    """Two attempts, no fix, no fee: the post only."""
    order = request(world, cast.LENKA, at=world.ago(19))
    steps.receive(order, by=world.packer, at=world.ago(16))
    steps.find(
        order, by=world.owner, at=world.ago(15), minutes=70, fault_class="earlier repair damage",
        reading=said(order, "Battery line r 2.1"), words="Pads in the inner layers are torn where the chip was pulled before. We can try a wire.",
        idea_answer="partly", idea_words="The chip is bad because of what was done under it.",
    )  # fmt: skip
    steps.quote(order, by=world.owner, at=world.ago(14.8), remedy="Fit jumper wire", parts=())
    steps.answer(order, at=world.ago(13.5))
    steps.fit(order, Part.objects.get(number="CHG-T9"), 1, by=world.owner, at=world.ago(11))
    work.write_down(order=order, kind="repair", minutes=55, by=world.owner, at=world.ago(10))
    repair.no_fix(
        order=order, seen_version=order.version, by=world.owner, at=world.ago(9.8),
        words="Two attempts at the inner layer held cold and let go warm. Going on would cost you more than it is worth.",
    )  # fmt: skip
    order.refresh_from_db()
    talk(world, order, 12, at=world.ago(9.5))
    finish(world, order, at=world.ago(8.7))
    return order


def petra(world: World) -> Order:
    """Declined, sent back as it was, and lost in the post."""
    order = request(world, cast.PETRA, at=world.ago(24))
    steps.receive(order, by=world.packer, at=world.ago(21))
    steps.find(
        order, by=world.owner, at=world.ago(19), minutes=48, fault_class="cracked joint",
        reading=said(order, "Processor rail r 3.0"), words="Joints under the processor are cracked. It can be tried; about every second one holds.",
        idea_answer="not", idea_words="Software cannot mend a cracked joint.",
    )  # fmt: skip
    steps.quote(
        order, by=world.owner, at=world.ago(18.9), remedy="Reflow processor joints", parts=("SOLD-B",)
    )
    steps.answer(order, choice="back", at=world.ago(16.6))
    talk(world, order, 14, at=world.ago(16.4))
    paid(world, order, at=world.ago(16.2))
    steps.send(order, by=world.packer, at=world.ago(15.9))
    lifecycle.hold(
        order, reason=SlipReason.LOST, by=lifecycle.staff(world.owner), at=world.ago(6),
        note="No scan since it was accepted. Claim open; last day to claim is 60 days after posting.",
        due=(world.ago(15.9) + dt.timedelta(days=60)).date(),
    )  # fmt: skip
    cost(world, order, "Lost parcel, value above cover", "140.00", at=world.ago(6))
    return order


def osei(world: World) -> Order:
    """Not worth mending; wiped and recycled with consent."""
    order = request(world, cast.OSEI, at=world.ago(10))
    steps.receive(order, by=world.packer, at=world.ago(7.5))
    steps.find(
        order, by=world.owner, at=world.ago(6.8), minutes=25, fault_class="memory chip",
        reading=_no_doubt(order), words="The memory chip is dead. Mending it costs more than the tablet is worth.",
        idea_answer="not", idea_words="The screen works on our own board.",
    )  # fmt: skip
    steps.quote(order, by=world.owner, at=world.ago(6.7), remedy="Replace power chip", parts=())
    steps.answer(order, choice="recycle", at=world.ago(5.6))
    talk(world, order, 16, at=world.ago(5.4))
    out.recycle(
        order=order,
        seen_version=order.version,
        method="Destroyed: storage chip drilled",
        by=world.owner,
        at=world.ago(5.3),
    )
    return order


def _no_doubt(order: Order) -> Measured:
    """One good board is too few for the rule; the bench says what it sees, and why."""
    why = "A tenth of an ohm on a rail is a short on any board"
    return said(order, "Memory rail r 0.1", verdict="short", verdict_why=why)


def hollis(world: World) -> Order:
    """Silent since the quote; it lapsed. Owes nothing."""
    order = request(world, cast.HOLLIS, at=world.ago(57))
    steps.receive(order, by=world.packer, at=world.ago(53.3), bag="B-03")
    steps.find(
        order, by=world.owner, at=world.ago(52.6), minutes=30, fault_class="connector damage",
        reading=said(order, "Charger in r 40"), words="The charging socket and the chip behind it are worn out.",
        idea_answer="right", idea_words="The port it is.",
    )  # fmt: skip
    steps.quote(
        order, by=world.owner, at=world.ago(52.4), remedy="Replace charging socket", parts=("SOCK-C7",)
    )
    talk(world, order, 15, at=world.ago(52))
    return order


def yusra(world: World) -> Order:
    """A swollen pack in the post: quarantine, and a quote that waits."""
    order = request(world, cast.YUSRA, at=world.ago(6), photos=True)
    steps.receive(
        order, by=world.packer, at=world.ago(3.3), cell_state="swollen", condition="Pack swollen, back lifts 4 mm",
    )  # fmt: skip
    steps.find(
        order, by=world.owner, at=world.ago(2.9), minutes=20, fault_class="charge chip",
        reading=said(order, "Charger in r 18"), words="The pack swelled because the charge chip never stopped charging. The glass is pushed up by it.",
        idea_answer="not", idea_words="The glue was pushed off by the swollen battery.",
    )  # fmt: skip
    chip = Part.objects.get(number="CHG-L22").pk
    lines = [
        {"kind": "labour", "text": "The charge chip replaced", "minutes": 60, "quantity": "1", "price": "96.00"},
        {"kind": "part", "part": chip, "quantity": "1"},
        {"kind": "part", "text": "New battery, fitted in place of the swollen one", "quantity": "1", "price": "29.00"},
        {"kind": "post", "text": "Return post", "quantity": "1"},
    ]  # fmt: skip
    steps.quote(order, by=world.owner, at=world.ago(2.8), lines=lines)
    questions.ask(
        order=order, text="Can I have the old battery back?", form_key="demo-yusra-q", at=world.ago(1.2)
    )
    talk(world, order, 18, at=world.ago(2.7))
    return order
