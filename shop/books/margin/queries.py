"""Reads what the lines do not hold: minutes of a window, what was written beside losses, counts, sums by month."""

import datetime as dt
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from django.db.models import DecimalField, ExpressionWrapper, F, QuerySet, Sum

from intake.models import Slip
from intake.stations import SlipReason
from quotes.models import Dispute, Move, Payment, WriteOff
from shop.access import now
from shop.books.house import smallest_units
from shop.books.lines import Books
from shop.books.margin.burden_maths import in_window
from shop.books.margin.shapes import Extra, Month
from shop.models import BookDay, Cost, WorkSession

# So many orders with a loss are asked about at once.
PORTION = 2_000
JANUARY_TO_DECEMBER = 12
SUMMED = ("day", "orders", "billed", "parts", "spoiled", "post", "fees", "losses", "minutes", "bench")


def extra(books: Books) -> Extra:
    """Three queries, and five for each two thousand orders with a loss in the window."""
    lost, disputed, words = _beside_losses(books)
    return Extra(
        worked=_worked(books),
        lost=frozenset(lost),
        disputed=frozenset(disputed),
        words=words,
        stock_short=_stock_short(books),
        months=tuple(by_month(books.house.currency, today=books.today)),
    )


def brief(books: Books) -> Extra:
    """What sums need and lists do not: no words, no months. Two queries."""
    return Extra(worked=_worked(books), stock_short=_stock_short(books))


def by_month(currency: str, months: int = 24, *, today: int | None = None) -> list[Month]:
    """Sums of the orders that left in each of the last months, the running one last; months without an order are there too.

    One query over the sums by day, so that it takes as long however many orders there are. `today` is an ordinal.
    """
    last = dt.date.fromordinal(today) if today else now().date()
    firsts = [_month_back(last, back).toordinal() for back in range(months - 1, -2, -1)]
    rows = BookDay.objects.filter(currency=currency, facet=BookDay.Facet.ALL, day__gte=firsts[0]).order_by(
        "day"
    )
    days = list(rows.values_list(*SUMMED))
    place = [bisect_left(days, (first,)) for first in firsts]
    return [
        _month(first, days[place[number] : place[number + 1]]) for number, first in enumerate(firsts[:-1])
    ]


def _month(first: int, days: Sequence[tuple[int, ...]]) -> Month:
    if not days:
        return Month(first)
    _, orders, billed, parts, spoiled, post, fees, losses, minutes, bench = map(sum, zip(*days, strict=True))
    cash = billed - parts - spoiled - post - fees - losses
    return Month(first, orders, billed, cash, cash - bench, minutes)


def _month_back(day: dt.date, months: int) -> dt.date:
    year, month = divmod(day.year * JANUARY_TO_DECEMBER + day.month - 1 - months, JANUARY_TO_DECEMBER)
    return dt.date(year, month + 1, 1)


def _worked(books: Books) -> dict[tuple[str, int], int]:
    rows = WorkSession.objects.filter(**_within(books, "started_at")).order_by()
    if books.foreign:
        rows = rows.filter(order__currency=books.house.currency)
    return {
        (row["kind"], row["by_id"]): row["spent"]
        for row in rows.values("kind", "by_id").annotate(spent=Sum("minutes"))
        if row["spent"]
    }


def _stock_short(books: Books) -> int:
    cost = ExpressionWrapper(
        F("on_hand_change") * F("unit_cost"), DecimalField(max_digits=16, decimal_places=4)
    )
    counts = Move.objects.filter(kind=Move.Kind.COUNT, **_within(books, "at"))
    found = counts.aggregate(sum=Sum(cost))["sum"]
    return max(0, -smallest_units(found, books.house.digits))


def _within(books: Books, name: str) -> dict[str, dt.datetime]:
    window = books.window
    return {
        f"{name}__gte": dt.datetime.fromtimestamp(window.since, dt.UTC),
        f"{name}__lt": dt.datetime.fromtimestamp(window.until, dt.UTC),
    }


def _beside_losses(books: Books) -> tuple[set[int], set[int], dict[int, tuple[str, ...]]]:
    lost: set[int] = set()
    disputed: set[int] = set()
    words: dict[int, list[str]] = defaultdict(list)
    pks = [line.order for line in in_window(books) if line.losses > 0]
    for start in range(0, len(pks), PORTION):
        some = pks[start : start + PORTION]
        slips = Slip.objects.filter(order__in=some, reason=SlipReason.LOST)
        lost.update(slips.values_list("order_id", flat=True))
        for order, why in _pairs(Dispute.objects.filter(payment__order__in=some), "payment__order_id", "why"):
            disputed.add(order)
            words[order].append(f"Disputed payment: {why}")
        for order, what in _written(some):
            words[order].append(what)
    return lost, disputed, {order: tuple(said) for order, said in words.items()}


def _written(some: list[int]) -> Iterator[tuple[int, str]]:
    yield from _pairs(Cost.objects.filter(order__in=some), "order_id", "what")
    made_good = Payment.objects.filter(order__in=some, purpose=Payment.Purpose.LOSS)
    for order, note in _pairs(made_good, "order_id", "note"):
        yield order, f"Made good: {note}"
    for order, why in _pairs(WriteOff.objects.filter(order__in=some), "order_id", "why"):
        yield order, f"Written off: {why}"


def _pairs(rows: QuerySet[Any], *names: str) -> QuerySet[Any]:
    return rows.order_by("id").values_list(*names)
