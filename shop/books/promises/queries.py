"""Reads what lines do not hold of promises and quotes: the shop's hours, customers' ideas, the parts that were fitted."""

import datetime as dt
from collections.abc import Iterator

from django.db.models import Sum

from intake.models import Order
from quotes.list_words import FAULT, fold
from quotes.models import ListWord, Move
from quotes.word_lists import snapshot
from shop.books.hours import calendar_of, current_hours
from shop.books.hours_maths import Calendar
from shop.books.lines import MENDED, Books
from shop.books.periods import midnight
from shop.books.promises.shapes import Extra, Fitted
from shop.models import BookLine

REMINDER = "quote_reminder"
ANSWERS = ("right", "partly", "not")


def extra(books: Books) -> Extra:
    """For the window of the books. Eight queries, however many orders."""
    hours = current_hours()
    known, since, until = books.gone(), books.now, books.now
    if promises := [line.first_promise for line in known if line.first_promise]:
        since = min(*(line.left for line in known), midnight(min(promises), books.house))
        until = max(*(line.left for line in known), midnight(max(promises) + 2, books.house))
    calendar: Calendar = calendar_of(hours, books.house.zone, since=since, until=until)
    return Extra(hours=calendar, guessed=hours.guessed, ideas=ideas(books), fitted=tuple(fitted(books)),
                 reminders=reminders(books))  # fmt: skip


def ideas(books: Books) -> dict[int, str]:
    """By order that arrived in the window, the customer's idea: as the list of faults spells it, doubles under the word that
    stays; one that no list knows as it was first typed. Four queries."""
    words = snapshot([FAULT])
    listed = ListWord.objects.filter(kind=FAULT, merged_into__isnull=True)
    names = dict(listed.values_list("folded", "name"))
    found: dict[int, str] = {}
    for order, text in sorted(_told(books)):
        key = words.canonical(FAULT, text)
        found[order] = names.setdefault(key, " ".join(text.split()) if key == fold(text) else key)
    return found


def _told(books: Books) -> Iterator[tuple[int, str]]:
    """(order, idea) of orders that left since the window began, through the index of what left, and of those here."""
    window, currency = books.window, books.house.currency
    gone = BookLine.objects.filter(
        currency=currency, left__gte=window.since, arrived__gte=window.since, arrived__lt=window.until,
        idea__in=ANSWERS,
    )  # fmt: skip
    yield from gone.values_list("order_id", "order__idea").iterator(5_000)
    since, until = (dt.datetime.fromtimestamp(each, dt.UTC) for each in (window.since, window.until))
    here = Order.objects.filter(
        currency=currency, arrived_at__gte=since, arrived_at__lt=until, sent_at__isnull=True, closed_at__isnull=True
    )  # fmt: skip
    yield from here.exclude(idea="").order_by().values_list("pk", "idea")


def reminders(books: Books) -> dict[int, tuple[int, ...]]:
    """When reminders were written, seconds, by order: of those that left with a first quote sent in the window, and of all here. Two queries."""
    window, currency = books.window, books.house.currency
    gone = BookLine.objects.filter(
        currency=currency, left__gte=window.since, first_sent__gte=window.since, first_sent__lt=window.until,
        order__letters__kind=REMINDER,
    )  # fmt: skip
    here = Order.objects.filter(
        currency=currency, arrived_at__isnull=False, sent_at__isnull=True, closed_at__isnull=True,
        letters__kind=REMINDER,
    )  # fmt: skip
    found: dict[int, tuple[int, ...]] = {}
    for order, written in (
        *gone.values_list("order_id", "order__letters__created_at"),
        *here.order_by().values_list("pk", "letters__created_at"),
    ):
        found[order] = (*found.get(order, ()), int(written.timestamp()))
    return found


def fitted(books: Books) -> Iterator[Fitted]:
    """What was fitted into mended orders that left in the window, with its lot. One query."""
    window = books.window
    rows = Move.objects.filter(
        kind=Move.Kind.CONSUME, order__book_line__currency=books.house.currency,
        order__book_line__left__gte=window.since, order__book_line__left__lt=window.until,
        order__book_line__outcome__in=sorted(MENDED),
    )  # fmt: skip
    # A part fitted by mistake is put back by a second move: of those nothing stays.
    told = rows.order_by().values_list("order_id", "part__number", "lot__number", "lot__stopped_at")
    stays = told.annotate(pieces=Sum("on_hand_change")).filter(pieces__lt=0)
    for order, part, lot, stopped, _ in stays.iterator(5_000):
        yield Fitted(order, part, lot or "", stopped is not None)
