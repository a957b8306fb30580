"""Reads finished orders as cases to compare, in a number of queries that does not grow with them."""

import datetime as dt
from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from django.db.models import Exists, Min, OuterRef, QuerySet

from intake.models import Device, Order, StationLine
from intake.stations import Station
from quotes.list_words import FAMILY, FAULT, POINT, SYMPTOM, Words, fold
from quotes.models import Finding, ListWord, Reading
from quotes.verdicts import UNKNOWN
from shop.seen.gower_maths import Case

# The latest finished orders of a kind of device are compared; older boards teach less.
MOST = 500
FIELDS = ("pk", "device__kind", "device__make", "device__model", "symptoms", "before")


@dataclass(frozen=True)
class Seen:
    """Finished orders as cases, the order asked about as one of them, and faults as they are called."""

    cases: list[Case]
    asked: Case | None
    names: dict[str, str]


def finished(kind: str) -> QuerySet[Order]:
    """Orders of a kind of device that have an outcome and a finding, the latest first."""
    found = Finding.objects.filter(order=OuterRef("pk"))
    return Order.objects.filter(Exists(found), device__kind=kind).exclude(outcome="").order_by("-pk")


def seen(kind: str, asked: Order | None = None) -> Seen:
    """The latest finished orders of a kind of device, and one more that is not finished. Six queries."""
    rows = list(ListWord.objects.order_by("pk"))
    words = Words.of_rows((row.pk, row.kind, row.folded, row.within_id, row.merged_into_id) for row in rows)
    names = {row.folded: row.name for row in rows if row.kind == FAULT}
    others = finished(kind).exclude(pk=asked.pk) if asked else finished(kind)
    orders = list(others.values_list(*FIELDS)[:MOST])
    pks = [row[0] for row in orders]
    verdicts = _verdicts([*pks, asked.pk] if asked else pks, words)
    faults = _faults(pks)
    for fault in faults.values():
        names.setdefault(words.canonical(FAULT, fault), fault)
    cases = [_case(row, words, verdicts[row[0]], faults.get(row[0], "")) for row in orders]
    mine = _case(_fields(asked), words, verdicts[asked.pk], "") if asked else None
    return Seen([case for case in cases if case.fault], mine, names)


def _fields(order: Order) -> tuple[object, ...]:
    device = order.device
    return order.pk, device.kind, device.make, device.model, order.symptoms, order.before


def _case(row: Sequence[object], words: Words, verdicts: dict[Hashable, str], fault: str) -> Case:
    pk, kind, make, model, symptoms, before = row
    family = Device(kind=str(kind), make=str(make), model=str(model)).family
    return Case(
        number=int(str(pk)),
        kind=str(kind),
        family=words.canonical(FAMILY, family),
        symptoms=frozenset(words.canonical(SYMPTOM, str(each)) for each in _texts(symptoms)),
        before=frozenset(fold(str(each)) for each in _texts(before)),
        verdicts=verdicts,
        fault=words.canonical(FAULT, fault) if fault else "",
    )


def _texts(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _verdicts(pks: Sequence[int], words: Words) -> dict[int, dict[Hashable, str]]:
    """By order: canonical board, canonical point and mode to the verdict of the standing reading before the repair."""
    found: dict[int, dict[Hashable, str]] = defaultdict(dict)
    numbers: dict[tuple[str, ...], int] = {}  # a number is found quicker than three words, 500 orders long
    rows = Reading.objects.filter(order__in=pks, phase="before", superseded_by__isnull=True)
    judged = rows.exclude(verdict__in=("", UNKNOWN)).order_by("at", "id")
    for order, board, point, mode, verdict in judged.values_list(
        "order_id", "board", "point", "mode", "verdict"
    ):
        place = (*words.key(POINT, point, board), mode)
        found[order][numbers.setdefault(place, len(numbers))] = verdict
    return found


def _faults(pks: Sequence[int]) -> dict[int, str]:
    """By order, what its diagnosis found; a second fault, found once the repair had begun, is another story."""
    lines = StationLine.objects.filter(order__in=pks, station=Station.REPAIR).order_by().values("order_id")
    begun: dict[int, dt.datetime] = dict(
        lines.annotate(Min("opened_at")).values_list("order_id", "opened_at__min")
    )
    found: dict[int, str] = {}
    rows = Finding.objects.filter(order__in=pks).order_by("at", "id")
    for order, fault, at in rows.values_list("order_id", "fault_class", "at"):
        if order not in found or order not in begun or at < begun[order]:
            found[order] = fault
    return found
