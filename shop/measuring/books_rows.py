"""What is measured of the books: the week's page, months from sums, a curve over a million stays, sums against a spreadsheet,
and what keeping the line costs the change that closes an order."""

import datetime as dt
from collections.abc import Callable
from unittest.mock import patch

import numpy as np
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from intake import history
from intake.models import Order, Person
from intake.stations import Station
from shop.books.gather import open_books
from shop.books.house import house
from shop.books.margin.queries import by_month
from shop.books.turnaround_maths import curve_of_days
from shop.measuring import sheet_floor
from shop.measuring.ratios import Deed, Row
from shop.measuring.world import staff_client
from shop.models import BookDay, BookLine
from shop.returns import out

# Own goals, no source: the week says some sixty figures of the lines that its floor only gathers; the months are a few sums of
# what their floor reads; closing an order works its line out, and letters are the rest. The curve and the spreadsheet: well
# ahead of another hand's.
WEEK_GOAL, MONTHS_GOAL, CURVE_GOAL, SHEET_GOAL, CLOSING_GOAL = 8.0, 3.0, 0.3, 0.05, 2.5
STAYS, MONTHS = 1_000_000, 24


def books_rows(owner: Person, *, at: dt.datetime, stays: int = STAYS) -> list[Row]:
    """The rows of the books, over the orders that are there."""
    client = staff_client(owner)
    return [_week(client, at), _months(at), _curve(stays), _sheet(), _closing(owner, at)]


def _queries(deed: Deed) -> int:
    with CaptureQueriesContext(connection) as seen:
        deed()
    return len(seen)


def _selected(sql: str, *given: object) -> Callable[[], int]:
    def read() -> int:
        with connection.cursor() as cursor:
            cursor.execute(sql, given)
            return len(cursor.fetchall())

    return read


def _week(client: Client, at: dt.datetime) -> Row:
    """The floor gathers the lines of the same two weeks, with those still here, and says nothing about them."""
    address = reverse("shop:books")
    answer = client.get(address)
    if answer.status_code != 200:
        return Row("week's page", "its lines gathered", WEEK_GOAL, why=f"answered {answer.status_code}")
    count = len(open_books("week", at=at).lines)
    return Row(
        "week's page", f"{count} lines gathered", WEEK_GOAL, floor=lambda: open_books("week", at=at),
        ours=lambda: client.get(address), queries=_queries(lambda: client.get(address)), times=1,
    )  # fmt: skip


def _months(at: dt.datetime) -> Row:
    shop = house()
    today = shop.ordinal(int(at.timestamp()))
    first = today - MONTHS * 31
    floor = _selected(
        "SELECT * FROM shop_bookday WHERE currency = %s AND facet = 'all' AND day >= %s", shop.currency, first
    )
    return Row(
        f"{MONTHS} months", f"select, {BookDay.objects.count()} sums by day", MONTHS_GOAL, floor=floor,
        ours=lambda: by_month(shop.currency, MONTHS, today=today), queries=_queries(lambda: by_month(shop.currency, MONTHS, today=today)),
    )  # fmt: skip


def _curve(stays: int) -> Row:
    """Whole days, one in twelve still open, many alike: both hands get the same two arrays."""
    dice = np.random.default_rng(20260205)
    days = dice.gamma(3.0, 2.5, stays).astype(np.int64)
    ended = dice.random(stays) > 1 / 12
    name = f"curve of {stays}"
    try:
        from lifelines import KaplanMeierFitter  # noqa: PLC0415 -- another hand's, only where tests are run
    except ImportError:
        return Row(name, "another library", CURVE_GOAL, why="the library is not installed")
    return Row(
        name, "another library, as intervals too", CURVE_GOAL, floor=lambda: KaplanMeierFitter().fit(days, ended),
        ours=lambda: curve_of_days(days, ended), times=1,
    )  # fmt: skip


def _sheet() -> Row:
    """The whole way of each: ours from the database, theirs from its file, since that is how each starts."""
    rows = BookLine.objects.count()
    name = f"sums of {rows}"
    if not sheet_floor.office():
        return Row(
            name,
            "headless spreadsheet",
            SHEET_GOAL,
            why="no LibreOffice here (apt-get install libreoffice-calc)",
        )
    book = sheet_floor.Workbook(sheet_floor.lines())
    if book.counted() != [count for count, _, _ in sheet_floor.our_months()]:
        return Row(name, "headless spreadsheet", SHEET_GOAL, why="the spreadsheet counts other months")
    return Row(
        name, "headless spreadsheet", SHEET_GOAL, floor=book.calculate, ours=sheet_floor.our_months, times=1
    )  # fmt: skip


class _TakenBack(Exception):
    """Ends a change that is only measured."""


def _closing(owner: Person, at: dt.datetime) -> Row:
    """A device comes home, with the line of the books and without; each time taken back."""
    order = Order.objects.filter(station=int(Station.WAY_HOME)).order_by("pk").first()
    name, floor_name = "order closed", "the same without its line"
    if order is None:
        return Row(name, floor_name, CLOSING_GOAL, why="no order is on its way home")

    def close() -> None:
        try:
            with transaction.atomic():
                out.delivered(
                    order=Order.objects.get(pk=order.pk), seen_version=order.version, by=owner, at=at
                )
                raise _TakenBack
        except _TakenBack:
            return

    def without() -> None:
        with patch.object(history, "_followers", []):
            close()

    return Row(name, floor_name, CLOSING_GOAL, floor=without, ours=close, queries=_queries(close))
