"""Works the lines of the books out from the sheets, papers and moves of their orders."""

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery

from intake.models import Device, Order
from intake.money import minor_units
from intake.stations import Clock, SlipReason, Station
from shop.books.clock_spans import owned_seconds, spent_at, waited
from shop.books.house import bench_cost
from shop.books.line_money import Money
from shop.books.line_quotes import Answer, answers_of
from shop.books.line_work import Work, findings_of, spans_of, work_of
from shop.books.lines import STATIONS_TIMED, House, Line
from shop.models import ComebackCause

FIELDS = (
    "pk", "currency", "customer_id", "customer__trade", "device__kind", "device__make", "device__model", "arrived_at",
    "sent_at", "closed_at", "parcel__delivered_at", "station", "outcome", "comeback_of_id", "first_promise", "promise",
    "declared_value", "parcel__cost", "cause",
)  # fmt: skip


def lines_of(orders: QuerySet[Order], *, house: House, now: int) -> list[Line]:
    """The line of each order that has arrived, by pk; `now` in seconds, for those still here. Nineteen queries at most,
    however many orders: give them in portions."""
    causes = ComebackCause.objects.filter(order=OuterRef("pk")).order_by("-at", "-id")
    rows = orders.filter(arrived_at__isnull=False).order_by("pk")
    known = list(rows.annotate(cause=Subquery(causes.values("cause")[:1])).values_list(*FIELDS))
    wanted = [row[0] for row in known]
    if not wanted:
        return []
    digits = {row[0]: minor_units(row[1]) for row in known}
    return _Sources(wanted, digits, house, now).lines(known)


def gone() -> Q:
    """Orders that have left: sent, handed over or recycled after they arrived."""
    return Q(arrived_at__isnull=False) & (Q(sent_at__isnull=False) | Q(closed_at__isnull=False))


def seconds(moment: dt.datetime | None) -> int:
    return int(moment.timestamp()) if moment else 0


def _ordinal(day: dt.date | None) -> int:
    return day.toordinal() if day else 0


class _Sources:
    def __init__(self, wanted: list[int], digits: Mapping[int, int], house: House, now: int) -> None:
        self.house, self.now = house, now
        self.money = Money(wanted, digits)
        self.work = work_of(wanted)
        self.findings = findings_of(wanted)
        self.visits, self.slips = spans_of(wanted)
        self.answers = answers_of(wanted, digits)

    def lines(self, rows: Iterable[tuple[Any, ...]]) -> list[Line]:
        return [self._line(dict(zip(FIELDS, row, strict=True))) for row in rows]

    def _line(self, order: dict[str, Any]) -> Line:
        pk = order["pk"]
        arrived = seconds(order["arrived_at"])
        left = (
            max(arrived, seconds(order["sent_at"] or order["closed_at"]))
            if (order["sent_at"] or order["closed_at"])
            else 0
        )
        fault, idea = self.findings.get(pk, ("", ""))
        work, answer = self.work.get(pk, Work()), self.answers.get(pk, Answer())
        money = self.money
        return Line(
            order=pk,
            currency=order["currency"],
            customer=order["customer_id"] or 0,
            trade=bool(order["customer__trade"]),
            family=Device(
                kind=order["device__kind"], make=order["device__make"], model=order["device__model"]
            ).family,
            fault=fault,
            idea=idea,
            technician=work.most,
            arrived=arrived,
            left=left,
            home=seconds(order["parcel__delivered_at"] or order["closed_at"]),
            left_day=self.house.ordinal(left) if left else 0,
            station=order["station"],
            outcome=order["outcome"],
            comeback_of=order["comeback_of_id"] or 0,
            cause=order["cause"] or "",
            first_promise=_ordinal(order["first_promise"]),
            last_promise=_ordinal(order["promise"] or order["first_promise"]),
            **answer._asdict(),
            **work.minutes(),
            bench=bench_cost(work.all, money.minute_costs(pk, left)),
            **money.of(pk, post=order["parcel__cost"], declared=order["declared_value"]),
            **self._times(pk, arrived, left),
        )

    def _times(self, pk: int, arrived: int, left: int) -> dict[str, Any]:
        visits, slips, now = self.visits.get(pk, []), self.slips.get(pk, []), left or self.now
        owned = owned_seconds(visits, slips, since=arrived, until=max(arrived, now))
        part = waited(slips, SlipReason.PART, now=now)
        times = {f"at{station}": spent_at(visits, Station(station), now=now) for station in STATIONS_TIMED}
        return times | {
            "ours": owned.get(Clock.SHOP, 0),
            "theirs": owned.get(Clock.CUSTOMER, 0),
            "supplier": owned.get(Clock.SUPPLIER, 0),
            "carrier": owned.get(Clock.CARRIER, 0),
            "part_wait": part,
            "needs_part": part >= 0 or self.money.took_parts(pk),
        }
