"""Makes whole orders by the hundred thousand, with every rule of the tables kept: the same seed makes the same rows.

Each shape is walked once by the real actions and taken back again; what it left is the mould that further orders are cast
from, each with days, minutes, customer, numbers and keys of its own. A transaction for each portion: a run that was cut off
leaves a shop whose numbers have gaps, to be thrown away.
"""

import datetime as dt
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.management.color import no_style
from django.db import connection, models, transaction

from intake.codes import new_code
from intake.lifecycle import staff
from intake.models import Address, Customer, HistoryEntry, Order, Person
from quotes import stock
from quotes.models import Part
from shop.bench.test_rows import sheet_for
from shop.bulk import chain, stores
from shop.bulk.book_lines import Keeper
from shop.bulk.calendar import Calendar, next_pk, write_rows
from shop.bulk.casting import Cast, Caster
from shop.bulk.chain import Told
from shop.bulk.moulds import MODELS, Mould, mould_of
from shop.bulk.numbering import Numbers
from shop.bulk.people import Sender, make_senders
from shop.bulk.plan import ORDERS_A_CUSTOMER, Kind, Planned, plan
from shop.bulk.walks import Shape, bench_of, shapes
from shop.demo.base import set_up_shop

PORTION = 1_000
ORDERED = "CHG-S2"
Say = Callable[[str], None]


@dataclass(frozen=True)
class Moulds:
    """Everything the walks left: moulds, what is told of each in the history, what each takes from the bins."""

    shapes: Sequence[Shape]
    moulds: Sequence[Mould]
    told: Sequence[tuple[Told, ...]]
    sums: Sequence[dict[int, tuple[int, int]]]

    def kinds(self) -> list[Kind]:
        return [
            Kind(mould.days, shape.weight, shape.recent, shape.trade, shape.comeback, shape.mended)
            for shape, mould in zip(self.shapes, self.moulds, strict=True)
        ]


class _TakenBack(Exception):
    """Ends the transaction of a walk; what it left is known."""


def make_orders(
    *,
    orders: int,
    seed: int,
    years: int,
    at: dt.datetime,
    which: Sequence[Shape] | None = None,
    say: Say = str,
) -> None:
    """So many orders over so many years up to the day before `at`. In a database without a shop, the invented one is set
    up first; else it has to be that one. `which`: fewer shapes, for a quick look."""
    _room_to_work()
    _sequences()
    first = (at - dt.timedelta(days=round(365.25 * years))).date()
    owner, technician = _shop(first)
    calendar = Calendar(first, at.date())
    cast = _walked(which or shapes(), owner, technician, at)
    say(f"{len(cast.moulds)} shapes walked")
    customers = (max(20, orders // ORDERS_A_CUSTOMER), max(3, orders // 1500))
    planned = plan(cast.kinds(), orders=orders, customers=customers, last=calendar.last, seed=seed)
    since = dt.datetime.combine(first, dt.time(6), dt.UTC)
    with transaction.atomic():
        senders = make_senders(*customers, by=owner, at=since, seed=seed)
        stores.deliver(planned, cast.sums, calendar.days, by=staff(owner))
    _Run(planned, cast, senders, calendar, seed, say).all()


def _shop(first: dt.date) -> tuple[Person, Person]:
    if not Person.objects.exists():
        set_up_shop(at=dt.datetime.combine(first - dt.timedelta(days=30), dt.time(9), dt.UTC))
    Part.objects.filter(number=ORDERED).update(special=True)
    return Person.objects.get(username="ansel"), Person.objects.get(username="pim")


def _walked(which: Sequence[Shape], owner: Person, technician: Person, at: dt.datetime) -> Moulds:
    for kind in ("phone", "tablet", "laptop", "data"):
        sheet_for(kind, at=at - dt.timedelta(days=3650))
    monday = at - dt.timedelta(days=120 + at.weekday())
    start = monday.replace(hour=0, minute=0, second=0, microsecond=0)
    found: list[tuple[Mould, tuple[Told, ...]]] = []
    for number, shape in enumerate(which):
        try:
            with transaction.atomic():
                _plenty(owner, start)
                order = shape.walk(bench_of(owner, technician, number, shape, start=start))
                order.refresh_from_db()
                mould = mould_of(order, name=shape.name, start=start)
                found.append((mould, chain.told_of(mould, order)))
                raise _TakenBack
        except _TakenBack:
            continue
    moulds = [mould for mould, _ in found]
    return Moulds(which, moulds, [told for _, told in found], [stores.taken(mould) for mould in moulds])


def _plenty(owner: Person, at: dt.datetime) -> None:
    for part in Part.objects.all():
        stock.receive(
            part=part, quantity=50, unit_cost=part.unit_cost, key=f"bulk:walk:{part.pk}", by=staff(owner), at=at
        )  # fmt: skip


class _Run:
    """The casting itself."""

    def __init__(
        self,
        planned: Sequence[Planned],
        cast: Moulds,
        senders: Sequence[Sender],
        calendar: Calendar,
        seed: int,
        say: Say,
    ) -> None:
        self.planned, self.cast, self.senders, self.calendar, self.say = planned, cast, senders, calendar, say
        self.dice = random.Random(seed + 1)  # noqa: S311 -- a draw that must be the same every time
        self.casters = [Caster(mould, calendar) for mould in cast.moulds]
        self.ids = {model: next_pk(model) for model in MODELS}
        self.first_order = self.ids[Order]
        self.codes: list[str] = []
        self.known = set(Order.objects.values_list("code", flat=True))
        self.numbers = Numbers(planned, cast.moulds, calendar)
        self.keeper = Keeper()
        self.bags = 0

    def all(self) -> None:
        for start in range(0, len(self.planned), PORTION):
            self._portion(start, self.planned[start : start + PORTION])
        self.numbers.taken()
        chain.write_history(
            self.planned,
            self.cast.told,
            self.codes,
            first_order=self.first_order,
            calendar=self.calendar,
            say=self.say,
        )
        _sequences()

    def _portion(self, start: int, planned: Sequence[Planned]) -> None:
        rows: dict[type[models.Model], list[list[Any]]] = {model: [] for model in MODELS}
        first = self.ids[Order]
        for number, one in enumerate(planned, start=start):
            self.casters[one.mould].cast(self._one(number, one), rows)
            for model, count in self.cast.moulds[one.mould].counts.items():
                self.ids[model] += count
        following = start + len(planned)
        ends = self.calendar.days[self.planned[following].start] if following < len(self.planned) else None
        with transaction.atomic():
            for model in MODELS:
                write_rows(model, rows[model])
            stores.count_off(planned, self.cast.sums)
            self.keeper.keep(range(first, self.ids[Order]), before=ends)
        self.say(f"{following} of {len(self.planned)} orders")

    def _one(self, number: int, one: Planned) -> Cast:
        code = new_code(self.dice)
        while code in self.known:
            code = new_code(self.dice)
        self.known.add(code)
        self.codes.append(code)
        recent = self.cast.shapes[one.mould].recent
        if recent:
            self.bags += 1
        documents, entries = self.numbers.of(number)
        return Cast(
            number=number if one.before < 0 else one.before,
            planned=one,
            places=[one.start + day for day in one.days],
            sender=self.senders[one.customer],
            ids=dict(self.ids),
            code=code,
            salt=f"{self.dice.getrandbits(128):032x}",
            before=self.first_order + one.before if one.before >= 0 else None,
            documents=documents,
            entries=entries,
            bag=f"M-{self.bags:04d}" if recent else f"B-{number % 900 + 1:03d}",
            digests={},
            calendar=self.calendar,
        )


def _room_to_work() -> None:
    """SQLite keeps two megabytes of pages at hand unless it is told; a big index is read over and over without more."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA cache_size = -600000")


def _sequences() -> None:
    """PostgreSQL counts its keys on after the highest there is, whatever was given or taken back."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(
            no_style(), [*MODELS, HistoryEntry, Customer, Address]
        ):
            cursor.execute(statement)
