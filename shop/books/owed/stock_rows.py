"""Parts as they lie in their bins, and what counting them found. Reads rows."""

import datetime as dt

from django.db.models import OuterRef, Q, Subquery, Sum

from quotes.models import Lot, Move, Part
from shop.books.house import smallest_units
from shop.books.lines import DAY_SECONDS, House
from shop.books.owed.shapes import DEAD_DAYS, Counted, PartRow


def parts(house: House, *, now: int) -> tuple[PartRow, ...]:
    """Every part that lies in a bin or should. Four queries."""
    last = Move.objects.filter(part=OuterRef("pk")).order_by("-at").values("at")[:1]
    rows = (
        Part.objects.filter(Q(on_hand__gt=0) | Q(active=True, reorder_at__gt=0))
        .annotate(moved=Subquery(last))
        .order_by("number")
    )
    sum_of = Sum("on_hand_change")
    lots = list(Lot.objects.filter(stopped_at__isnull=False).values_list("pk", flat=True))
    barred = Move.objects.filter(lot__in=lots).order_by().values("part_id")
    stopped = dict(barred.annotate(sum=sum_of).values_list("part_id", "sum"))
    since = _moment(now - DEAD_DAYS * DAY_SECONDS)
    fitted = Move.objects.filter(kind=Move.Kind.CONSUME, at__gte=since).order_by().values("part_id")
    used = dict(fitted.annotate(sum=sum_of).values_list("part_id", "sum"))
    return tuple(
        PartRow(
            number=part.number,
            name=part.name,
            bin=part.bin,
            on_hand=part.on_hand,
            reserved=part.reserved,
            reorder_at=part.reorder_at if part.active else 0,
            stopped=min(max(stopped.get(part.pk, 0), 0), part.on_hand),
            used=max(-used.get(part.pk, 0), 0),
            moved=int(part.moved.timestamp()) if part.moved else 0,
            worth=smallest_units(part.unit_cost * part.on_hand, house.digits),
        )
        for part in rows
    )


def counted(house: House, *, since: int, until: int) -> tuple[Counted, ...]:
    """Differences found by counting, each at the cost it was written with. One query."""
    rows = Move.objects.filter(
        kind=Move.Kind.COUNT, at__gte=_moment(since), at__lt=_moment(until), order__isnull=True
    ).order_by("at", "id")
    columns = rows.values_list("part__number", "at", "on_hand_change", "unit_cost", "why")
    return tuple(
        Counted(number, int(at.timestamp()), change, smallest_units(cost * change, house.digits), why)
        for number, at, change, cost, why in columns
    )


def _moment(seconds: int) -> dt.datetime:
    return dt.datetime.fromtimestamp(seconds, dt.UTC)
