"""What the plan lets go: the dry list of it, and doing it, each night and by command. Kind by kind, in portions.

Each portion is a transaction of its own, so that the bench goes on meanwhile and a crash leaves whole portions.
"""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q

from intake.history import in_turn
from intake.lifecycle import Actor
from intake.models import Customer, Letter, LetterTry, Order, Paper, Photo
from quotes import owed
from quotes.models import BankLine, Decision, Invoice, Statement
from quotes.refusals import Refused
from shop.keeping import clearing, erasing, register, tombstones
from shop.keeping.kinds import BY_NAME, SETTABLE, days_of
from shop.keeping.places import Scope, orders_that_left, rows_of
from shop.keeping.plans import current
from shop.models import Sight

PORTION = 200
MOST_ORDERS_NAMED = 200
BY_TIME = Actor("clock", "CLK")


@dataclass
class Due:
    """What of one kind is over its time: rows by model, and the codes of their orders (the first 200)."""

    name: str
    title: str
    days: int | None
    rows: dict[str, int] = field(default_factory=dict)
    orders: list[str] = field(default_factory=list)

    @property
    def count(self) -> int:
        return sum(self.rows.values())


def dry(*, at: dt.datetime) -> list[Due]:
    """By kind, what would go now. Reads only."""
    plan = current()
    return [_due(kind.name, days_of(plan.days, kind.name), at) for kind in SETTABLE]


def forget(*, at: dt.datetime) -> dict[str, int]:
    """Let go what is over its time; returns rows by kind. The same again finds nothing."""
    tombstones.write_missing()
    plan, done = current(), {}
    for kind in SETTABLE:
        days = days_of(plan.days, kind.name)
        if days is not None:
            done[kind.name] = _forget(kind.name, at - dt.timedelta(days=days), at)
    return done


def _due(name: str, days: int | None, at: dt.datetime) -> Due:
    found = Due(name, BY_NAME[name].title, days)
    if days is None:
        return found
    before = at - dt.timedelta(days=days)
    if name in _OF_ORDERS:
        rest = _orders_with(name, before)
        found.orders = list(rest.order_by("pk").values_list("code", flat=True)[:MOST_ORDERS_NAMED])
        over = _rows_due(name, orders_that_left(before).values("pk"))
    else:
        over = _others(name, before)
    for row, rows in over.items():
        if count := rows.order_by().values("pk").distinct().count():
            found.rows[row.partition(".")[2]] = count
    return found


_OF_ORDERS = ("photos", "words", "bench", "papers")


def _rows_due(name: str, pks: Any) -> dict[str, Any]:
    """By model, the rows of these orders that would change."""
    if name == "photos":
        return {"intake.Photo": Photo.objects.filter(order__in=pks)}
    if name == "papers":
        return {"intake.Paper": clearing.papers_with_names(pks)}
    scope, found = Scope(pks), {}
    for row, columns in register.of_kind(name).items():
        found[row] = clearing.full_rows(row, columns, rows_of(row, scope))
    return found


def _orders_with(name: str, before: dt.datetime) -> Any:
    """Orders that left long enough ago and still have something of the kind."""
    left, some = orders_that_left(before), Q(pk__in=[])
    if name == "photos":
        some = Q(pk__in=Photo.objects.filter(order__isnull=False).values("order"))
    elif name == "papers":
        some = Q(pk__in=clearing.papers_with_names(Order.objects.all()).values("order"))
    else:
        for row, columns in register.of_kind(name).items():
            some |= Q(pk__in=clearing.orders_of_full(row, columns))
    return left.filter(some)


def _others(name: str, before: dt.datetime) -> dict[str, Any]:
    """By model, rows that have a time of their own."""
    if name == "letters":
        gone = Letter.objects.filter(created_at__lte=before, state__in=["sent", "dead", "closed"])
        return {
            "intake.Letter": clearing.full_rows(
                "intake.Letter", register.of_kind("letters")["intake.Letter"], gone
            )
        }
    if name == "senders":
        rows = Decision.objects.filter(at__lte=before)
        return {
            "quotes.Decision": clearing.full_rows(
                "quotes.Decision", register.of_kind("senders")["quotes.Decision"], rows
            )
        }
    if name == "sights":
        return {"shop.Sight": Sight.objects.filter(day__lte=before.date())}
    if name == "contact":
        late = Order.objects.exclude(pk__in=orders_that_left(before).values("pk"))
        idle = Customer.objects.filter(erased_at__isnull=True, created_at__lte=before)
        return {
            "intake.Customer": idle.exclude(pk__in=late.filter(customer__isnull=False).values("customer"))
        }
    kinds: dict[str, Any] = {
        "quotes.Invoice": Invoice.objects.filter(issued_at__lte=before),
        "quotes.Statement": Statement.objects.filter(at__lte=before),
        "quotes.BankLine": BankLine.objects.filter(day__lte=before.date()),
    }
    names = register.of_kind("money")
    found = {row: clearing.full_rows(row, names[row], rows) for row, rows in kinds.items()}
    found["quotes.Invoice"] = _settled(found["quotes.Invoice"])
    return found


def _settled(bills: Any) -> Any:
    """Without the bills of orders that owe, or hold money of somebody's: the shop has to know whose."""
    sums = owed.standings(order__in=Order.objects.filter(pk__in=bills.order_by().values("order")))
    return bills.exclude(order__in=[pk for pk, sum_ in sums.items() if sum_.balance or sum_.deposit_held])


def _forget(name: str, before: dt.datetime, at: dt.datetime) -> int:
    if name == "contact":
        return _people(before, at)
    if name in _OF_ORDERS:
        orders = list(_orders_with(name, before).values_list("pk", flat=True))
        return sum(_let_orders_go(name, part, at=at) for part in _portions(orders))
    return sum(
        _let_rows_go(name, row, part, at=at)
        for row, rows in _others(name, before).items()
        for part in _portions(list(rows.values_list("pk", flat=True)))
    )


def _portions(pks: list[int]) -> Iterator[list[int]]:
    for start in range(0, len(pks), PORTION):
        yield pks[start : start + PORTION]


@in_turn
def _let_orders_go(name: str, pks: list[int], *, at: dt.datetime) -> int:
    if name == "photos":
        return clearing.remove_photos(Photo.objects.filter(order__in=pks))
    if name == "papers":
        return clearing.remove_papers(clearing.papers_with_names(pks), at=at)
    scope = Scope(tuple(pks))
    return sum(
        clearing.clear(row, columns, rows_of(row, scope)) for row, columns in register.of_kind(name).items()
    )


@in_turn
def _let_rows_go(name: str, row: str, pks: list[int], *, at: dt.datetime) -> int:
    if name == "sights":
        return Sight.objects.filter(pk__in=pks).delete()[0]
    model_rows = {
        "intake.Letter": Letter,
        "quotes.Decision": Decision,
        "quotes.Invoice": Invoice,
        "quotes.Statement": Statement,
        "quotes.BankLine": BankLine,
    }[row].objects.filter(pk__in=pks)  # type: ignore[attr-defined]  # each is a model
    if name == "letters":
        clearing.drop_letter_files(model_rows)
    done = clearing.clear(row, register.of_kind(name)[row], model_rows)
    if name == "letters":
        tries = register.of_kind(name)["intake.LetterTry"]
        clearing.clear("intake.LetterTry", tries, rows_of_letters(pks))
    if row in ("quotes.Invoice", "quotes.Statement"):
        makers = ("statement",) if row == "quotes.Statement" else ("invoice", "credit_note", "invoice_xml")
        clearing.remove_papers(Paper.objects.filter(maker__in=makers, ref__in=pks), at=at)
    return done


def rows_of_letters(pks: list[int]) -> Any:
    """The tries of these letters."""
    return LetterTry.objects.filter(letter__in=pks)


def _people(before: dt.datetime, at: dt.datetime) -> int:
    """Persons whose time is over are erased as by hand; who still owes or waits stays for the next night."""
    done = 0
    for pk in _others("contact", before)["intake.Customer"].order_by("pk").values_list("pk", flat=True):
        if done == PORTION:
            break
        try:
            erasing.erase(customer=Customer.objects.get(pk=pk), why="Their time was over", by=BY_TIME, at=at)
        except Refused:
            continue
        done += 1
    return done
