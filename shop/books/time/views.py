"""The page of time."""

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import owner_only
from shop.books.gather import codes
from shop.books.lines import STATIONS_TIMED, Books
from shop.books.page import page
from shop.books.showing import ShownTable, shown_table, wanted
from shop.books.time import drawn
from shop.books.time.compare_maths import compared
from shop.books.time.shapes import Extra
from shop.books.time.table_maths import old_table
from shop.books.time.week_maths import output, signals_said, slowness

OLDEST = 10
# On the page the reason comes early, where a phone shows it.
WHY_FIRST = ("order", "days", "why", "whose", "over", "station")
BY = {"family": "family", "fault": "fault found", "technician": "technician", "month": "month of arrival"}

LISTS = {
    "whole": (
        "time-median", "time-eighty", "time-own-median", "time-own-eighty", "time-arrivals", "time-departures",
    ),
    "stations": tuple(f"time-at-{station}" for station in STATIONS_TIMED),
    "clocks": ("time-ours", "time-theirs", "time-supplier", "time-carrier", "time-theirs-without", "time-flow"),
    "old": ("time-old-here", "time-here-average", "time-days-each"),
}  # fmt: skip


@never_cache
@require_safe
@owner_only
def time(request: HttpRequest) -> HttpResponse:
    """Turnaround, stations, clocks, weeks, and what is old now."""
    asked = request.GET.get("by", "")
    by = asked if asked in BY else "family"
    return page(
        request,
        "time",
        "shop/books/time.html",
        lists=LISTS,
        by=by,
        ways=[(key, words, key == by) for key, words in BY.items()],
        extra_field=("by", by),
        gone=drawn.gone_by_day,
        stations=drawn.stations,
        clocks=drawn.clocks,
        weeks_days=drawn.weeks_days,
        weeks_left=drawn.weeks_left,
        said=_said,
        oldest=_oldest,
        compared=lambda books, rest: compared(books, by),
    )


def _said(books: Books, extra: Extra) -> list[str]:
    """What the chart of weeks says, the newest first."""
    weeks = extra.weeks
    return [
        *signals_said(slowness(weeks), weeks, more="slower", less="quicker"),
        *signals_said(output(weeks), weeks, more="fuller", less="emptier"),
    ]


def _oldest(books: Books, extra: Extra) -> ShownTable:
    """The ten that have been here longest."""
    every = old_table(books, extra)
    first = replace(every, rows=every.rows[:OLDEST])
    spots = [spot for key in WHY_FIRST for spot, column in enumerate(every.columns) if column.key == key]
    first = replace(
        first,
        columns=tuple(every.columns[spot] for spot in spots),
        rows=[tuple(row[spot] for spot in spots) for row in first.rows],
    )
    told = shown_table(first, books, codes(wanted([first])["order"]), {}, {})
    return replace(told, more=max(0, len(every.rows) - OLDEST))
