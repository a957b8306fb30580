"""Devices that wait for their customers, and how much the bench does in a day. Reads rows."""

import datetime as dt
from collections import defaultdict
from typing import TypedDict

from django.db.models import Sum

from intake.models import Letter, Order, Slip, StationLine
from intake.stations import SlipReason, Station
from shop.books.hours import calendar_of, current_hours
from shop.books.lines import DAY_SECONDS, House
from shop.books.owed.shapes import Waiting
from shop.models import WorkSession

WAITS = (SlipReason.CUSTOMER, SlipReason.PAYMENT, SlipReason.WRONG_DEVICE)
FOUR_WEEKS = 28


class BenchDays(TypedDict):
    worked: int
    open_days: int


def waiting() -> tuple[Waiting, ...]:
    """Devices whose customer has to act: a slip says so, the quote is not answered, or they lie ready to go. Three queries."""
    here = Order.objects.filter(
        station__gt=Station.GOODS_IN, station__lt=Station.WAY_HOME, sent_at__isnull=True, closed_at__isnull=True
    ).order_by().values("pk")  # fmt: skip
    slips = Slip.objects.filter(order__in=here, reason__in=WAITS, ended_at__isnull=True)
    found: dict[int, tuple[dt.datetime, bool]] = {}
    for order, since in slips.order_by("-started_at").values_list("order_id", "started_at"):
        found[order] = (since, False)
    stands = StationLine.objects.filter(
        order__in=here, station__in=(Station.GO_AHEAD, Station.GOODS_OUT), signed_at__isnull=True
    )
    for order, station, since in stands.order_by().values_list("order_id", "station", "opened_at"):
        known = found.get(order)
        if station == Station.GO_AHEAD:
            found[order] = (min(since, known[0]) if known else since, False)
        elif known is None:
            found[order] = (since, True)
    letters: dict[int, list[int]] = defaultdict(list)
    rows = (
        Letter.objects.filter(order__in=list(found))
        .exclude(state__in=[Letter.State.DEAD, Letter.State.CLOSED])
        .order_by("created_at")
    )
    for order, at in rows.values_list("order_id", "created_at"):
        if at > found[order][0]:
            letters[order].append(int(at.timestamp()))
    return tuple(
        Waiting(order, int(since.timestamp()), pay_first, tuple(letters[order]))
        for order, (since, pay_first) in sorted(found.items())
    )


def bench_days(house: House, *, now: int) -> BenchDays:
    """Bench minutes begun in the last four weeks, and how many of those days the shop was open. Two queries."""
    today = dt.datetime.fromtimestamp(now, house.zone).date()
    days = [today - dt.timedelta(days=back) for back in range(1, FOUR_WEEKS + 1)]
    since = now - FOUR_WEEKS * DAY_SECONDS
    calendar = calendar_of(current_hours(), house.zone, since=since, until=now)
    begun = WorkSession.objects.filter(
        started_at__gte=dt.datetime.fromtimestamp(since, dt.UTC),
        started_at__lte=dt.datetime.fromtimestamp(now, dt.UTC),
    )
    worked = begun.aggregate(sum=Sum("minutes"))["sum"] or 0
    return {"worked": worked, "open_days": sum(calendar.open_on(day) for day in days)}
