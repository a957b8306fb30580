"""Who saw what: a line the first time on a day that somebody of the staff opens a sheet, a photo, a paper, a person.

It is written while a page is read; a log of looking changes nothing that is looked at. One query the first time a day,
none after that: each process remembers what it has noted.
"""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.db import connection, transaction
from django.db.models import QuerySet

from intake.models import Order
from shop.models import Sight

# What the address names: the kind of sight, and from what its order is known.
SEEN = {
    "sheet": ("sheet", "code"),
    "print_sheet": ("sheet", "code"),
    "pictures": ("photos", "code"),
    "picture": ("photos", "code"),
    "photo": ("photos", "photo"),
    "paper": ("papers", "paper"),
    "letter": ("letters", "letter"),
    "letter_html": ("letters", "letter"),
}
WORDS = {
    "sheet": "the sheet",
    "photos": "photos",
    "papers": "papers",
    "person": "everything about the person",
    "export": "took everything about the person out",
    "letters": "letters",
}
_ORDER = {
    "code": "SELECT id FROM intake_order WHERE code = %s",
    "photo": "SELECT order_id AS id FROM intake_photo WHERE id = %s AND order_id IS NOT NULL",
    "letter": "SELECT order_id AS id FROM intake_letter WHERE id = %s AND order_id IS NOT NULL",
    "paper": "SELECT order_id AS id FROM intake_paper WHERE id = %s AND order_id IS NOT NULL",
}
_INSERT = (
    "INSERT INTO shop_sight (person_id, order_id, what, day, first_at) "
    "SELECT %s, found.id, %s, %s, %s FROM ({}) found WHERE true ON CONFLICT DO NOTHING"
)
_MOST_REMEMBERED = 20_000
_noted: set[tuple[int, str, str, dt.date]] = set()


def note(person: int, name: str, kwargs: dict[str, Any], *, at: dt.datetime) -> None:
    """Note what a page showed, by the name of its address; pages that show nobody are passed over."""
    if name not in SEEN or not kwargs:
        return
    what, by = SEEN[name]
    key = str(kwargs.get("code") or next(iter(kwargs.values())))
    mark = (person, what, f"{by}:{key}", at.date())
    if mark in _noted:
        return
    _write(person, what, _ORDER[by], key if by == "code" else int(key), at)
    if len(_noted) >= _MOST_REMEMBERED:
        _noted.clear()
    _noted.add(mark)


def forget_noted() -> None:
    """For tests: what a process remembers outlives a rolled-back row."""
    _noted.clear()


def _write(person: int, what: str, order: str, key: str | int, at: dt.datetime) -> None:
    # A transaction of its own: where it fails, what goes on around it goes on.
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(_INSERT.format(order), [person, what, at.date(), at, key])


def note_orders(person: int, orders: Iterable[int], what: str, *, at: dt.datetime) -> None:
    """Note a look at all orders of somebody at once."""
    Sight.objects.bulk_create(
        [Sight(person_id=person, order_id=pk, what=what, day=at.date(), first_at=at) for pk in orders],
        ignore_conflicts=True,
    )


def of_order(order: Order) -> "QuerySet[Sight]":
    """Who of the staff saw an order, newest first."""
    return Sight.objects.filter(order=order).select_related("person")


def of_orders(orders: Iterable[int]) -> "QuerySet[Sight]":
    return Sight.objects.filter(order__in=orders).select_related("person", "order")
