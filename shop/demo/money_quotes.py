"""Orders of the demonstration that show what a quote can be: several ways, a revision, deposits, a second fault. All invented."""

import datetime as dt
from decimal import Decimal
from typing import Any

from intake.models import Order
from quotes import diagnosis, offers
from quotes.diagnosis import Found
from quotes.models import Part, Remedy
from shop.bench import work
from shop.demo import cast, price_book, steps
from shop.demo.good_shelf import said
from shop.demo.stage import World, request

ORLA = cast.person(
    "Orla Finchett", 61, make="Zarnik", model="Z7", symptoms=["Does not start"], before=["Got wet"], data_wish="needed",
    idea="The screen", words="It fell into the sink. I want the pictures most of all.",
)  # fmt: skip
CORIN = cast.person(
    "Corin Ashby", 62, make="Oblivu", model="One", symptoms=["Turns itself off"], idea="The battery",
    words="Off at half charge.",
)  # fmt: skip
BELLE = cast.person(
    "Belle Thackery", 63, kind="laptop", make="Oblivu", model="Folio 13", symptoms=["Keys do not work"],
    words="Half of the keys are dead.", in_the_box=["Laptop"], declared_value=Decimal("700.00"),
)  # fmt: skip
JORY = cast.person(
    "Jory Penhale", 64, kind="laptop", make="Oblivu", model="Folio 13", symptoms=["Keys do not work"],
    words="It types by itself.", in_the_box=["Laptop"], declared_value=Decimal("650.00"),
)  # fmt: skip
NELL = cast.person(
    "Nell Harrowgate", 65, make="Plenthor", model="Note 5", symptoms=["Does not charge"], idea="The socket",
    words="Charges only when it is off.",
)  # fmt: skip
DEPOSIT, DEPOSIT_WORDS = (
    Decimal("40.00"),
    "The cable is ordered for your device alone. If it cannot be had, it comes back to you.",
)


def build(world: World) -> dict[str, Order]:
    """All of them, by first name in small letters."""
    return {
        "orla": orla(world),
        "corin": corin(world),
        "belle": _with_deposit(world, BELLE, days=9.5),
        "jory": _with_deposit(world, JORY, days=13.5),
        "nell": nell(world),
    }


def orla(world: World) -> Order:
    """Mend, copy the data, or only clean: three ways with their chances, and a part that can be added."""
    order = request(world, ORLA, at=world.ago(7.2), photos=True)
    steps.receive(order, by=world.packer, at=world.ago(4.4), condition="Water marks under the tray")
    steps.find(
        order, by=world.owner, at=world.ago(2.4), minutes=34, fault_class="liquid corrosion", idea_answer="not",
        idea_words="The screen lights up on our supply.", reading=said(order, "Main rail r 3.1"),
        words="Water ate two parts of the charge circuit. The storage answers. More may show once it runs again.",
    )  # fmt: skip
    words = "You said the pictures matter most. The first two ways keep them in view; the third is the cheapest try."
    steps.quote(
        order, by=world.owner, at=world.ago(2.1), lines=_three_ways(), words=words, promise=_day(world, 6),
        choices={
            "mend": {"chance": "even", "chance_words": "The parts that are hurt are known; water hides more at times."},
            "data": {"on": True, "chance": "good", "promise": _day(world, 4).isoformat()},
            "clean": {"on": True, "chance": "poor"},
        },
    )  # fmt: skip
    return order


def _three_ways() -> list[dict[str, Any]]:
    more = [
        _work("Recover data from original board", choice="data"),
        _part("STICK-32", choice="data"),
        _work("Clean only", choice="clean"),
    ]
    extra = {"extra": "e1", "extra_text": "A new charging socket while it is open"}
    return steps.lines_of(
        ["Clean and rework corroded charge circuit"], ["RES-KIT"], more=[_part("SOCK-U2", **extra), *more]
    )


def corin(world: World) -> Order:
    """A first quote, questioned; written anew at a lower price, with what has changed."""
    order = request(world, CORIN, at=world.ago(9.3))
    steps.receive(order, by=world.packer, at=world.ago(7.1))
    steps.find(
        order, by=world.owner, at=world.ago(5.6), minutes=26, fault_class="power chip", idea_answer="not",
        idea_words="It holds its charge.", reading=said(order, "Main rail r 40"),
        words="The power chip drops out when it is warm. The capacitor beside it is cracked.",
    )  # fmt: skip
    first = steps.lines_of(["Replace power chip", "Replace shorted capacitor"], ["PWR-M1", "CAP-10U"])
    steps.quote(order, by=world.owner, at=world.ago(5.3), lines=first)
    offers.reopen(order=order, seen_version=order.version, by=world.owner, at=world.ago(1.4))
    order.refresh_from_db()
    kit = _part("RES-KIT")
    second = steps.lines_of(["Replace power chip"], ["PWR-M1", "CAP-10U"], more=[kit])
    words = (
        "Both parts stand beside each other, so we need the way in only once. That saves you the second job."
    )
    steps.quote(order, by=world.owner, at=world.ago(1.3), lines=second, words=words)
    return order


def _with_deposit(world: World, answers: cast.RequestAnswers, *, days: float) -> Order:
    """Agreed; the part is ordered for this one job, and a deposit is asked for it."""
    order = request(world, answers, at=world.ago(days))
    steps.receive(order, by=world.packer, at=world.ago(days - 2.6), weight_grams=1350)
    steps.find(
        order, by=world.owner, at=world.ago(days - 3.6), minutes=22, fault_class="torn cable",
        reading=said(order, "Keyboard line r 900000"), words="The cable between board and keyboard is torn. It is made for this one model.",
    )  # fmt: skip
    lines = steps.lines_of(
        [], [price_book.SPECIAL], post="18.00",
        more=[{"kind": "labour", "text": "Cable changed, keyboard tested", "minutes": 45, "quantity": "1", "price": "72.00"}],
    )  # fmt: skip
    steps.quote(
        order, by=world.owner, at=world.ago(days - 3.8), lines=lines, deposit=DEPOSIT, deposit_words=DEPOSIT_WORDS,
        promise=_day(world, 9),
    )  # fmt: skip
    steps.answer(order, at=world.ago(days - 4.9))
    return order


def nell(world: World) -> Order:
    """Under way when a second fault showed: the first agreement stands while the second quote waits."""
    order = request(world, NELL, at=world.ago(10.6))
    steps.receive(order, by=world.packer, at=world.ago(8.2))
    # The list of faults has it without a d at its end: a double for the owner to see.
    steps.find(
        order, by=world.owner, at=world.ago(7.4), minutes=19, fault_class="connector damaged", idea_answer="right",
        idea_words="The socket is worn through.", reading=said(order, "Charger in r 22"),
        words="The charging socket is worn through.",
    )  # fmt: skip
    first = steps.lines_of(["Replace charging socket"], ["SOCK-U2"])
    steps.quote(order, by=world.owner, at=world.ago(7.3), lines=first)
    steps.answer(order, at=world.ago(6.2))
    work.write_down(order=order, kind="repair", minutes=45, by=world.owner, at=world.ago(2.9))
    found = Found(
        fault_class="charge chip", mendable="yes", minutes=12,
        words="With the new socket in, the charge chip behind it still heats up: it was hurt by the bad contact.",
    )  # fmt: skip
    at = world.ago(2.6)
    order.refresh_from_db()
    finding = diagnosis.second_finding(
        order=order, found=found, key="demo-second-fault-2", by=world.owner, at=at
    )
    offers.second_fault(order=order, seen_version=order.version, found=finding, by=world.owner, at=at)
    chip = {
        "kind": "labour",
        "text": "Charge chip replaced",
        "minutes": 40,
        "quantity": "1",
        "price": "64.00",
    }
    post = first.pop()
    both = [*first, chip, _part("CHG-L22"), post]
    steps.quote(order, by=world.owner, at=world.ago(2.5), lines=both, promise=_day(world, 5))
    return order


def _work(name: str, **more: Any) -> dict[str, Any]:
    return {"kind": "labour", "remedy": Remedy.objects.get(name=name).pk, "quantity": "1", **more}


def _part(number: str, **more: Any) -> dict[str, Any]:
    return {"kind": "part", "part": Part.objects.get(number=number).pk, "quantity": "1", **more}


def _day(world: World, days: int) -> dt.date:
    return (world.as_of + dt.timedelta(days=days)).date()
