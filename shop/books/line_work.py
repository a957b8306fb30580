"""Minutes, findings, visits and slips of orders, as their lines count them."""

from collections import Counter, defaultdict
from dataclasses import dataclass, field

from django.db.models import Sum

from intake.models import Slip, StationLine
from intake.stations import SlipReason, Station
from quotes.models import Finding
from shop.books.clock_spans import Span
from shop.models import WorkSession


@dataclass
class Work:
    """Minutes by kind, and by who spent them."""

    kinds: Counter[str] = field(default_factory=Counter)
    people: Counter[int] = field(default_factory=Counter)

    @property
    def all(self) -> int:
        return sum(self.kinds.values())

    @property
    def most(self) -> int:
        """Who spent most minutes; the one who came first of equals, 0 for nobody."""
        return min(self.people, key=lambda who: (-self.people[who], who), default=0)

    def minutes(self) -> dict[str, int]:
        """The fields of a line that hold minutes."""
        return {kind: self.kinds.get(kind, 0) for kind in ("look", "repair", "test", "talk")}


def work_of(wanted: list[int]) -> dict[int, Work]:
    """By order. One query."""
    rows = WorkSession.objects.filter(order__in=wanted).order_by().values("order_id", "kind", "by_id")
    found: dict[int, Work] = defaultdict(Work)
    for row in rows.annotate(spent=Sum("minutes")):
        found[row["order_id"]].kinds[row["kind"]] += row["spent"]
        if row["spent"]:
            found[row["order_id"]].people[row["by_id"]] += row["spent"]
    return dict(found)


def findings_of(wanted: list[int]) -> dict[int, tuple[str, str]]:
    """By order, the fault of its newest finding, and what that says of the customer's idea. One query."""
    rows = Finding.objects.filter(order__in=wanted).order_by("at", "id")
    return {
        order: (fault, idea)
        for order, fault, idea in rows.values_list("order_id", "fault_class", "idea_answer")
    }


def spans_of(wanted: list[int]) -> tuple[dict[int, list[Span]], dict[int, list[Span]]]:
    """By order, its visits to stations and its slips. Two queries."""
    visits: dict[int, list[Span]] = defaultdict(list)
    lines = StationLine.objects.filter(order__in=wanted).order_by("opened_at", "station", "id")
    for order, station, since, until in lines.values_list("order_id", "station", "opened_at", "signed_at"):
        visits[order].append(
            Span(Station(station), int(since.timestamp()), int(until.timestamp()) if until else None)
        )
    slips: dict[int, list[Span]] = defaultdict(list)
    rows = Slip.objects.filter(order__in=wanted).order_by("started_at", "id")
    for order, reason, since, until in rows.values_list("order_id", "reason", "started_at", "ended_at"):
        slips[order].append(
            Span(SlipReason(reason), int(since.timestamp()), int(until.timestamp()) if until else None)
        )
    return dict(visits), dict(slips)
