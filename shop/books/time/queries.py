"""Reads what lines do not hold: the shop's hours, the last year's stays, the slips of orders still here."""

from collections import defaultdict

from django.db.models import Count, F

from intake.models import Slip
from shop.books.hours import calendar_of, current_hours
from shop.books.lines import Books
from shop.books.periods import midnight
from shop.books.time.shapes import Extra, Measured, Week
from shop.books.time.stay_maths import HUNDREDTH, measured, measured_counts
from shop.books.time.week_maths import mondays, weeks_of
from shop.models import BookLine


def extra(books: Books) -> Extra:
    """Three queries, however many orders; one for a window that is past, whose page shows no year and no orders here."""
    hours = current_hours()
    since = min((line.arrived for line in books.lines), default=books.now)
    calendar = calendar_of(hours, books.house.zone, since=since, until=books.now)
    if books.window.until <= books.now:
        return Extra(calendar, hours.guessed)
    weeks, usual = _year(books)
    return Extra(calendar, hours.guessed, weeks, usual, _slips(books))


def brief(books: Books) -> Extra:
    """As `extra`, without the weeks: of the last year only how long orders usually take, added up by the database."""
    hours = current_hours()
    since = min((line.arrived for line in books.lines), default=books.now)
    calendar = calendar_of(hours, books.house.zone, since=since, until=books.now)
    if books.window.until <= books.now:
        return Extra(calendar, hours.guessed)
    return Extra(calendar, hours.guessed, usual=_usual(books), slips=_slips(books))


def _usual(books: Books) -> Measured:
    """The second half of `_year` from one row for each hundredth of a day, rounded up by whole numbers as it rounds."""
    since = midnight(mondays(now=books.now, house=books.house)[0], books.house)
    left = BookLine.objects.filter(
        currency=books.house.currency, left__gte=since, left__lte=books.now, arrived__gte=since
    )
    stays = left.order_by().values_list((F("left") - F("arrived") + (HUNDREDTH - 1)) / HUNDREDTH)
    counts = {hundredths: (orders, 0) for hundredths, orders in stays.annotate(orders=Count("pk"))}
    for line in books.here():
        if line.arrived >= since:
            stayed = line.stay(books.now)[0] // HUNDREDTH
            ended, here = counts.get(stayed, (0, 0))
            counts[stayed] = (ended, here + 1)
    return measured_counts(counts)


def _year(books: Books) -> tuple[tuple[Week, ...], Measured]:
    """The last 52 whole weeks and the running one: orders that left, and of the orders that arrived how long they took."""
    since = midnight(mondays(now=books.now, house=books.house)[0], books.house)
    left = BookLine.objects.filter(currency=books.house.currency, left__gte=since, left__lte=books.now)
    stays = list(left.values_list("arrived", "left"))
    here = [line.stay(books.now) for line in books.here() if line.arrived >= since]
    gone = [(end - start, True) for start, end in stays if start >= since]
    return weeks_of(stays, now=books.now, house=books.house), measured([*gone, *here])


def _slips(books: Books) -> dict[int, tuple[str, ...]]:
    """By order still here, the reasons on its sheet."""
    here = {line.order for line in books.here()}
    found: dict[int, list[str]] = defaultdict(list)
    for order, reason in Slip.objects.filter(ended_at__isnull=True).values_list("order_id", "reason"):
        if order in here:
            found[order].append(reason)
    return {order: tuple(reasons) for order, reasons in found.items()}
