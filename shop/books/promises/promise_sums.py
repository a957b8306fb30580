"""Promises: the first and the last day that was named, whether it was kept, and by how much it was missed. Pure."""

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable

from shop.books.figures import Cell, Column, Figure, Table
from shop.books.lines import Books, Line
from shop.books.promises.promise_maths import day_end, error, standing
from shop.books.promises.rank_maths import MIDDLE, NINE_IN_TEN, percentile
from shop.books.promises.shapes import Extra
from shop.books.promises.shares import SHARE_COLUMNS, count_figure, orders, share_cells, share_figure

HOUR = 3600
OPEN = "Here past its day is missed; here with its day to come is left out."
RULE = "Nearest rank: the fewest hours that so many do not exceed."
# Upper limits of working hours after the end of the promised day, and what a row of them is called.
LATE = (
    (-16, "more than two days of eight hours early"),
    (-8, "one to two days early"),
    (0, "up to a day early"),
    (8, "up to a day late"),
    (16, "one to two days late"),
    (40, "two to five days late"),
    (None, "more than five days late"),
)


def first(line: Line) -> int:
    return line.first_promise


def last(line: Line) -> int:
    return line.last_promise


def due(books: Books, promise: Callable[[Line], int]) -> list[Line]:
    """Orders that left in the window with a promise, and, where the window reaches to now, those here past theirs."""
    gone = [line for line in books.gone() if promise(line)]
    return gone + [line for line in _here(books) if promise(line) and promise(line) < books.today]


def to_come(books: Books) -> list[Line]:
    """Orders here whose promised day may still be kept."""
    return [line for line in _here(books) if line.first_promise and line.first_promise >= books.today]


def _here(books: Books) -> list[Line]:
    return books.here() if books.window.until > books.now else []


def kept(books: Books, promise: Callable[[Line], int]) -> Callable[[Line], bool]:
    """Whether a line kept it."""
    today = books.today
    return lambda line: standing(promise(line), line, today=today) == "kept"


def errors(books: Books, extra: Extra, promise: Callable[[Line], int]) -> list[tuple[Line, int]]:
    """Orders that left in the window with a promise, and their working seconds past the end of the promised day."""
    gone = [line for line in books.gone() if promise(line)]
    ends = {day: day_end(day, books.house) for day in {promise(line) for line in gone}}
    return [(line, error(ends[promise(line)], line, extra.hours)) for line in gone]


def figures(books: Books, extra: Extra) -> list[Figure]:
    """First and last promise kept, what was missed, what is to come, promised anew, and the error in working hours."""
    return [*brief(books), *_error_figures(books, extra)]


def brief(books: Books) -> list[Figure]:
    """All but the error: what needs the lines alone."""
    firsts, lasts = due(books, first), due(books, last)
    first_kept, last_kept = kept(books, first), kept(books, last)
    again = [line for line in firsts if line.last_promise != line.first_promise]
    found = [
        share_figure(
            "promise-first", "First promise kept", of=firsts, counted=first_kept, counts="promise", mark="K5",
            means="Left by the first promised day, of promises that were due in this period.", open_orders=OPEN,
        ),
        share_figure(
            "promise-last", "Last promise kept", of=lasts, counted=last_kept, counts="promise", mark="K6",
            means="Left by the last agreed day, of those due by it.", open_orders=OPEN,
        ),
        count_figure(
            "promise-missed", "First promises missed", [line for line in firsts if not first_kept(line)],
            means="Left after the first promised day, or here past it.", open_orders="Those here past the day are among them.",
            mark="K5", counts="promise",
        ),
        count_figure(
            "promise-again", "Promised anew", again, counts="order", mark="K6",
            means="Orders whose last agreed day is not the first, of promises due.", open_orders="Those here past the day are among them.",
        ),
    ]  # fmt: skip
    if books.window.until > books.now:
        found.append(
            count_figure(
                "promise-to-come", "Promises to come", to_come(books), counts="promise", mark="K5",
                means="Orders here whose first promised day is today or later.",
                open_orders="Only orders still here.",
            )
        )  # fmt: skip
    return found


def _error_figures(books: Books, extra: Extra) -> list[Figure]:
    pairs = errors(books, extra, first)
    seconds = [each for _, each in pairs]
    guess = " Opening hours are guessed: none are set." if extra.guessed else ""
    found = []
    means = f"Working hours from the end of the first promised day until it left, or the other way round where it left early. {RULE}{guess}"
    for key, name, share, words in (
        ("promise-error-median", "The middle one left", MIDDLE, means),
        (
            "promise-error-90",
            "Nine in ten left no later than",
            NINE_IN_TEN,
            "The same for nine in ten of the orders.",
        ),
    ):
        value = percentile(seconds, share)
        found.append(
            Figure(
                key=key, name=name, unit="hours late", n=len(pairs),
                value=None if value is None else value / HOUR, behind=orders(line for line, _ in pairs), mark="K7",
                means=words,
                open_orders="Orders still here are left out.",
            )
        )  # fmt: skip
    return found


def tables(books: Books, extra: Extra) -> list[Table]:
    return [_months(books), _lateness(books, extra)]


def _months(books: Books) -> Table:
    """By the month of the first promised day."""
    firsts, lasts = due(books, first), due(books, last)
    first_kept, last_kept = kept(books, first), kept(books, last)
    n = _by_month(firsts)
    k = _by_month(line for line in firsts if first_kept(line))
    again = _by_month(line for line in firsts if line.last_promise != line.first_promise)
    last_k = _by_month(line for line in lasts if line.first_promise and last_kept(line))
    rows: list[tuple[Cell, ...]] = [
        (month, n[month], k[month], n[month] - k[month], again[month], last_k[month], *share_cells(k[month], n[month]))
        for month in sorted(n)
    ]  # fmt: skip
    sums = (None, sum(n.values()), sum(k.values()), sum(n.values()) - sum(k.values()), sum(again.values()),
            sum(last_k.values()), *share_cells(sum(k.values()), sum(n.values())))  # fmt: skip
    return Table(
        "promise-months", "Promises by month",
        "A row is the month of the first promised day, of promises that were due in this period. " + OPEN,
        (
            Column("month", "Month promised", "text"), Column("due", "Due", "orders"),
            Column("kept", "First kept", "orders"), Column("missed", "First missed", "orders"),
            Column("again", "Promised anew", "orders"), Column("last_kept", "Last kept", "orders"), *SHARE_COLUMNS,
        ),
        rows, sums if rows else (),
    )  # fmt: skip


def _by_month(lines: Iterable[Line]) -> Counter[str]:
    months: Counter[str] = Counter()
    for day, count in Counter(map(first, lines)).items():
        months[dt.date.fromordinal(day).isoformat()[:7]] += count
    return months


def _lateness(books: Books, extra: Extra) -> Table:
    """How early or late they left, in working hours."""
    counts: Counter[str] = Counter()
    for _, seconds in errors(books, extra, first):
        counts[_late_word(seconds)] += 1
    total = sum(counts.values())
    rows: list[tuple[Cell, ...]] = [
        (name, counts[name], counts[name] / total if total else None) for _, name in LATE
    ]
    return Table(
        "promise-errors", "How early or late",
        "A row is a span of working hours after the end of the first promised day; a day here is eight working hours. Orders "
        "that left in this period with a promise.",
        (Column("late", "Left", "text"), Column("orders", "Orders", "orders"), Column("share", "Share", "share")),
        rows if total else [],
    )  # fmt: skip


def _late_word(seconds: int) -> str:
    return next(name for limit, name in LATE if limit is None or seconds <= limit * HOUR)
