"""About thirty further orders of the demonstration, from a seeded draw: the shop's ordinary weeks."""

import datetime as dt
import random
from decimal import Decimal

from intake import submissions
from intake.models import Order
from intake.request_answers import RequestAnswers
from intake.stations import Station
from shop.demo import cast, money_bills, steps
from shop.demo.good_shelf import said
from shop.demo.stage import World, finish, paid, request
from shop.seen import cases
from shop.seen.gower_maths import nearest, suggestion

FIRST = ("Alba", "Bram", "Cleo", "Dara", "Edda", "Fenn", "Gita", "Hale", "Ilse", "Joss", "Kira", "Lorn")
LAST = (
    "Marrow",
    "Netherby",
    "Oakhanger",
    "Pellow",
    "Quince",
    "Rushmere",
    "Saltash",
    "Thornby",
    "Underhay",
    "Vexley",
)
MODELS = (
    ("phone", "Zarnik", "Z7"),
    ("phone", "Oblivu", "One"),
    ("phone", "Plenthor", "Note 5"),
    ("phone", "Quibbet", "Phone 3"),
    ("tablet", "Zarnik", "Slate 9"),
    ("laptop", "Oblivu", "Folio 13"),
)
FAULTS = (
    ("Does not charge", "Charging port", "connector damage", "Replace charging socket", ("SOCK-C7",), "right", "The charging socket is worn through."),
    ("No picture", "Screen", "burnt filter", "Replace burnt filter", ("FILT-3",), "not", "A filter in the display's supply is burnt. The screen is good."),
    ("Does not start", "Battery", "shorted capacitor", "Replace shorted capacitor", ("CAP-10U",), "not", "One small part shorts the main power line."),
    ("Picture but no touch", "Screen", "driver chip", "Replace display driver chip", ("DRV-L4",), "partly", "The driver behind the screen has died."),
    ("Turns itself off", "", "power chip", "Replace power chip", ("PWR-M1",), "none", "The power chip drops out when warm."),
)  # fmt: skip
# What the meter shows at each, before and after.
READINGS = {
    "connector damage": ("Charger in r 4", "Charger in r 8.1k"),
    "burnt filter": ("Display supply d OL", "Display supply d .421"),
    "shorted capacitor": ("Main rail r 4", "Main rail r 1.15k"),
    "driver chip": ("Touch line d .12", "Touch line d .482"),
    "power chip": ("Main rail r 220", "Main rail r 1.18k"),
}
# Days since the request, and how far the order has come.
OPEN = (
    (1.0, Station.GOODS_IN), (2.4, Station.GOODS_IN), (4.2, Station.GOODS_IN),
    (3.6, Station.DIAGNOSIS), (4.4, Station.DIAGNOSIS), (5.1, Station.DIAGNOSIS),
    (5.4, Station.QUOTE), (6.2, Station.QUOTE),
    (6.5, Station.GO_AHEAD), (8.1, Station.GO_AHEAD),
    (10.4, Station.GOODS_OUT), (8.3, Station.REPAIR), (9.2, Station.REPAIR), (9.5, Station.TEST),
    (9.9, Station.REPAIR), (11.2, Station.GOODS_OUT), (10.1, Station.WAY_HOME), (10.8, Station.GOODS_OUT),
    (9.8, Station.TEST),
)  # fmt: skip
# Of those at goods out: the age of the one that is paid and waits to be packed, the fault of the one to be recycled.
PAID, RECYCLED = 10.4, "shorted capacitor"
# Of those closed: the age of the one whose payment came short.
SHORT = 27.5
# The number of the one who lets the bench have a code.
CODED = 45
CLOSED = (64, 61, 58.5, 52, 49, 47.5, 44, 40, 36, 33, 30, 27.5, 24, 21)


def build(world: World) -> list[Order]:
    """Walk them all; returns them, the comeback's first visit (41 days home) at the head."""
    rng = random.Random(931)  # noqa: S311 -- a draw that must be the same every time
    first = _walk(world, _answers(rng, 80, model=MODELS[3]), 0, 50.5, Station.HOME, rng)
    orders = [first]
    for number, days in enumerate(CLOSED, start=1):
        orders.append(_walk(world, _answers(rng, number + 12), number, days, Station.HOME, rng))
    for number, (days, station) in enumerate(OPEN, start=40):
        orders.append(_walk(world, _answers(rng, number), number, days, station, rng))
    return orders


def _answers(rng: random.Random, number: int, model: tuple[str, str, str] | None = None) -> RequestAnswers:
    kind, make, name = model or rng.choice(MODELS)
    who = f"{FIRST[number % len(FIRST)]} {LAST[number % len(LAST)]}"
    fault = FAULTS[number % len(FAULTS)]
    return cast.person(
        who,
        number,
        kind=kind,
        make=make,
        model=name,
        symptoms=[fault[0]],
        idea=fault[1],
        words=rng.choice(
            ("Since last week.", "After a fall.", "It began slowly.", "From one day to the next.")
        ),
        lock_wish="ask" if number == CODED else "test without",
        in_the_box=[{"phone": "Phone", "tablet": "Tablet", "laptop": "Laptop"}[kind]],
        declared_value=Decimal(rng.randrange(60, 500)),
    )


def _walk(
    world: World, answers: RequestAnswers, number: int, days: float, station: Station, rng: random.Random
) -> Order:
    start = world.ago(days)
    fault = FAULTS[number % len(FAULTS)] if number else FAULTS[0]
    fault = next(row for row in FAULTS if row[0] == answers.symptoms[0])
    order = request(world, answers, at=start)
    if station is Station.GOODS_IN:
        if days > 2:
            submissions.note_posted(order=order, tracking="", at=start + dt.timedelta(days=1))
        return order
    moment = _Moments(start, rng)
    _bench(world, order, fault, station, moment)
    if station is Station.GOODS_OUT and days == PAID:
        paid(world, order, at=moment.after(0.3))
    if days == SHORT:
        money_bills.rest_given_up(world, order, rest="4.00", at=moment.now + dt.timedelta(hours=1))
    if order.station >= Station.GOODS_OUT and station > Station.GOODS_OUT:
        finish(world, order, at=moment.after(0.3), home=2 if station is Station.HOME else 90)
    return order


class _Moments:
    """Moments that only go forward, some days apart."""

    def __init__(self, start: dt.datetime, rng: random.Random) -> None:
        self.now, self.rng = start, rng

    def after(self, days: float) -> dt.datetime:
        self.now += dt.timedelta(days=days * self.rng.uniform(0.7, 1.2))
        return self.now


def _bench(
    world: World,
    order: Order,
    fault: tuple[str, str, str, str, tuple[str, ...], str, str],
    station: Station,
    moment: _Moments,
) -> None:
    steps.receive(order, by=world.packer, at=moment.after(2.2))
    if station <= Station.DIAGNOSIS:
        return
    steps.find(
        order,
        by=world.owner,
        at=moment.after(0.9),
        reading=said(order, READINGS[fault[2]][0]),
        suggested=suggested(order) if station <= Station.GOODS_OUT else "",
        fault_class=fault[2],
        place="",
        cause="",
        words=fault[6],
        idea_answer=fault[5] if order.idea else "none",
        minutes=moment.rng.randrange(12, 45),
    )
    if station <= Station.QUOTE:
        return
    steps.quote(order, by=world.owner, at=moment.after(0.2), remedy=fault[3], parts=fault[4])
    if station > Station.GO_AHEAD and _agreed(order, fault[2], station, moment):
        _mended(world, order, fault[2], station, moment)


def _agreed(order: Order, kind: str, station: Station, moment: _Moments) -> bool:
    """Of those that went home about one in seven was declined; one of the open ones is to be recycled."""
    choice = "mend"
    if station > Station.GOODS_OUT and moment.rng.random() < 0.15:
        choice = "back"
    elif station is Station.GOODS_OUT and kind == RECYCLED:
        choice = "recycle"
    steps.answer(order, choice=choice, at=moment.after(1.4))
    return choice == "mend"


def _mended(world: World, order: Order, kind: str, station: Station, moment: _Moments) -> None:
    if station <= Station.REPAIR:
        return
    steps.mend(order, by=world.owner, at=moment.after(1.2), minutes=moment.rng.randrange(20, 90))
    if station <= Station.TEST:
        return
    after = said(order, READINGS[kind][1], after=True)
    steps.test_and_pass(
        order, by=world.owner, at=moment.after(0.4), reading=after, minutes=moment.rng.randrange(12, 30)
    )


def suggested(order: Order) -> str:
    """What orders seen before pointed to while this one lay at the bench, as its sheet said."""
    known = cases.seen(order.device.kind, order)
    assert known.asked is not None  # noqa: S101 -- for the type checker; it was asked about
    told = suggestion(nearest(known.asked, known.cases))
    return known.names.get(told.fault, told.fault)[:60] if told else ""
