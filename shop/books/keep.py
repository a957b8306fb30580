"""Keeps the lines of orders that have left, and the sums by day, in the transaction that changes an order."""

from collections.abc import Iterable, Iterator, Sequence
from operator import attrgetter
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import Q

from intake.models import Order
from shop.books.day_sums import ADDED, DayKey, differences
from shop.books.house import house
from shop.books.line_facts import gone, lines_of
from shop.books.lines import House, Line
from shop.models import BookDay, BookLine

# So many orders at once: a change may touch all of one customer.
PORTION = 1_000
AT_ONCE = 5_000
COLUMNS = tuple("order_id" if name == "order" else name for name in Line._fields)
VALUES = tuple(name for name in Line._fields if name != "order")
_values = attrgetter(*VALUES)


def keep(pks: Iterable[int]) -> None:
    """Write the lines of those orders that have left. `intake.history` calls it at the end of each change of an order,
    inside the transaction, with the turn of the change: so that two changes do not count at once."""
    touched = sorted(pks)
    for start in range(0, len(touched), PORTION):
        left = Order.objects.filter(gone(), pk__in=touched[start : start + PORTION])
        if known := list(left.values_list("pk", flat=True)):
            write(lines_of(Order.objects.filter(pk__in=known), house=house(), now=0))


def write(lines: Sequence[Line]) -> None:
    """Put lines in the place of those that are kept, and move the sums of the days by the difference."""
    old = list(kept(BookLine.objects.filter(order__in=[line.order for line in lines])))
    fresh = sorted(set(lines) - set(old))
    if not fresh:
        return
    changed = {line.order for line in fresh}
    BookLine.objects.bulk_create(
        [row_of(line) for line in fresh], update_conflicts=True, unique_fields=["order"], update_fields=VALUES
    )
    move_sums(differences([line for line in old if line.order in changed], fresh))


def kept(rows: Any) -> Iterator[Line]:
    """Rows of `BookLine` as lines, as the database gives them: a page may read thirty thousand, and every column is a plain
    number or text already. Yes and no may come as 1 and 0."""
    try:
        sql, given = rows.values_list(*COLUMNS).query.sql_with_params()
    except EmptyResultSet:
        return
    with connection.cursor() as cursor:
        cursor.execute(sql, given)
        while found := cursor.fetchmany(AT_ONCE):
            yield from map(Line._make, found)


def row_of(line: Line) -> BookLine:
    return BookLine(order_id=line.order, **dict(zip(VALUES, _values(line), strict=True)))


def move_sums(changes: dict[DayKey, list[int]]) -> None:
    """Add to the sums by day; a row that counts no order any more goes."""
    days = {key.day for key in changes}
    currencies = {key.currency for key in changes}
    rows = {
        DayKey(row.currency, row.facet, row.day, row.word): row
        for row in BookDay.objects.filter(currency__in=currencies, day__in=days).filter(_words(changes))
    }
    new, old, empty = [], [], []
    for key, amounts in sorted(changes.items()):
        row = rows.get(key) or BookDay(**key._asdict())
        for name, amount in zip(ADDED, amounts, strict=True):
            setattr(row, name, getattr(row, name) + amount)
        (empty if not row.orders else old if row.pk else new).append(row)
    BookDay.objects.filter(pk__in=[row.pk for row in empty if row.pk]).delete()
    BookDay.objects.bulk_create(new)
    BookDay.objects.bulk_update(old, ADDED, batch_size=200)


def _words(changes: dict[DayKey, list[int]]) -> Q:
    wanted: dict[str, set[str]] = {}
    for key in changes:
        wanted.setdefault(key.facet, set()).add(key.word)
    found = Q()
    for facet, words in wanted.items():
        found |= Q(facet=facet, word__in=words)
    return found


def rebuild(orders: Iterable[int], *, shop: House | None = None) -> int:
    """Work lines out for many orders that have left, in one portion; says how many. Inside the caller's transaction."""
    lines = lines_of(Order.objects.filter(gone(), pk__in=list(orders)), house=shop or house(), now=0)
    write(lines)
    return len(lines)
