"""The books of a stretch of time: lines kept of orders that left, lines worked out for those still here."""

import datetime as dt
from collections.abc import Iterable, Iterator

from django.db.models import Q, QuerySet

from intake.models import Customer, Order, Person
from quotes.list_words import FAMILY, FAULT, Words
from quotes.models import ListWord, Remedy
from quotes.word_lists import snapshot
from shop.books.house import house
from shop.books.keep import kept
from shop.books.line_facts import lines_of
from shop.books.lines import Books, House, Line, Window
from shop.books.periods import before, window_of
from shop.models import BookLine

PORTION = 2_000


def open_books(key: str, *, at: dt.datetime, back: int = 1) -> Books:
    """The books for the window of a key, reaching back `back` further windows of its length."""
    shop, now = house(), int(at.timestamp())
    window = window_of(key, now=now, house=shop)
    since = window
    for _ in range(back):
        since = before(since, house=shop) or since
    return books_since(since.since, window=window, now=now, shop=shop)


def books_since(since: int, *, window: Window, now: int, shop: House) -> Books:
    """Every order still here, and every one that left since a moment. The number of queries grows only with the devices
    in the building, by portions of two thousand."""
    here = Order.objects.filter(arrived_at__isnull=False, sent_at__isnull=True, closed_at__isnull=True)
    left = BookLine.objects.filter(currency=shop.currency, left__gte=since).order_by("left", "order_id")
    spell = _Spelling()
    lines = (*kept(left), *_worked_out(here.filter(currency=shop.currency), shop, now))
    abroad = here.exclude(currency=shop.currency).count()
    # Two ranges, which an index can give; "not this one" would read every line there is.
    other = Q(currency__lt=shop.currency) | Q(currency__gt=shop.currency)
    abroad += BookLine.objects.filter(other, left__gte=window.since).count()
    return Books(shop, now, window, tuple(spell.all(lines)), abroad)


def _worked_out(orders: QuerySet[Order], shop: House, now: int) -> Iterator[Line]:
    pks = list(orders.order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(pks), PORTION):
        portion = Order.objects.filter(pk__in=pks[start : start + PORTION])
        yield from lines_of(portion, house=shop, now=now)


class _Spelling:
    """Families, faults and remedies as their lists spell them now, doubles that were merged counted as one. Three queries."""

    def __init__(self) -> None:
        self._words: Words = snapshot([FAMILY, FAULT])
        named = ListWord.objects.filter(
            kind__in=[FAMILY, FAULT], within__isnull=True, merged_into__isnull=True
        )
        self._names = {
            (kind, folded): name for kind, folded, name in named.values_list("kind", "folded", "name")
        }
        self._known: dict[tuple[str, str], str] = {}
        self._remedies = _stay()

    def _spelt(self, kind: str, text: str) -> str:
        if (kind, text) not in self._known:
            folded = self._words.canonical(kind, text)
            self._known[kind, text] = self._names.get((kind, folded), text)
        return self._known[kind, text]

    def all(self, lines: Iterable[Line]) -> Iterator[Line]:
        for line in lines:
            family, fault = (
                self._spelt(FAMILY, line.family),
                self._spelt(FAULT, line.fault) if line.fault else "",
            )
            remedy = self._remedies.get(line.remedy, line.remedy)
            same = (family, fault, remedy) == (line.family, line.fault, line.remedy)
            yield line if same else line._replace(family=family, fault=fault, remedy=remedy)


def _stay() -> dict[str, str]:
    """Of remedies that were merged, the name of the one they count under: merges followed to their end. One query."""
    rows = {pk: (name, into) for pk, name, into in Remedy.objects.values_list("pk", "name", "merged_into_id")}
    found: dict[str, str] = {}
    for name, into in rows.values():
        while into is not None:
            found[name], into = rows[into]
    return found


def codes(pks: Iterable[int]) -> dict[int, str]:
    """Codes of orders. One query."""
    return dict(Order.objects.filter(pk__in=list(pks)).values_list("pk", "code"))


def customers(pks: Iterable[int]) -> dict[int, str]:
    """Names of customers. One query."""
    return dict(Customer.objects.filter(pk__in=list(pks)).values_list("pk", "name"))


def persons(pks: Iterable[int]) -> dict[int, str]:
    """How members of staff sign. One query."""
    return {person.pk: person.username for person in Person.objects.filter(pk__in=list(pks))}
