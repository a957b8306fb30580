"""The drawings of the page of time. Pure."""

import datetime as dt

from intake.stations import NAMES, Station
from shop.books.charts import Bar, Chart, CurveStep, Mark, Point, bars, curve, individuals
from shop.books.individuals_maths import Chart as Limits
from shop.books.lines import STATIONS_TIMED, Books
from shop.books.time.clock_maths import OWNERS, shares
from shop.books.time.shapes import Extra, Week
from shop.books.time.stay_maths import at_station, by_day, measured, turnaround
from shop.books.time.week_maths import marked, output, slowness

FEW = 10


def gone_by_day(books: Books, extra: Extra) -> Chart | None:
    """The share gone by each day with its band; None where nothing has left."""
    came = books.came()
    steps = by_day(came, now=books.now).steps
    if not steps:
        return None
    drawn = [CurveStep(step.time, 1 - step.open_share, 1 - step.high, 1 - step.low) for step in steps]
    found = turnaround(came, now=books.now)
    marks = [
        Mark(
            share,
            days,
            f"{words} are gone by {days:.1f} days" if days is not None else f"{words}: not reached",
        )
        for share, days, words in ((0.5, found.median, "Half"), (0.8, found.eighty, "Eight in ten"))
    ]
    return curve(
        drawn, title="Share of orders gone by each day after arrival", marks=marks, unit="Days after arrival"
    )


def stations(books: Books, extra: Extra) -> Chart | None:
    """Middle time at each station, days."""
    came, rows = books.came(), []
    for station in STATIONS_TIMED:
        spent = measured((seconds, through) for _, seconds, through in at_station(came, station))
        if spent.orders:
            words = f"{_days(spent.median)}, {spent.orders}"
            rows.append(
                Bar(
                    f"{station} {NAMES[Station(station)]}",
                    spent.median or 0.0,
                    words,
                    pale=spent.orders < FEW,
                )
            )
    return bars(rows, title="Half are through each station by (days, orders)") if rows else None


def clocks(books: Books, extra: Extra) -> Chart | None:
    """Whose time it was, share of all."""
    found = shares(books.came())
    if not found.all:
        return None
    rows = [
        Bar(name, found.share(owner) or 0.0, f"{(found.share(owner) or 0.0) * 100:.0f} %")
        for owner, name in OWNERS.items()
    ]
    return bars(rows, title="Whose time it was")


def weeks_days(books: Books, extra: Extra) -> Chart | None:
    """Middle turnaround by week with the usual and its limits."""
    return _weekly(
        extra.weeks,
        slowness(extra.weeks),
        [week.median for week in extra.weeks],
        "Middle turnaround by week, days",
        "{:.1f}",
    )


def weeks_left(books: Books, extra: Extra) -> Chart | None:
    """Orders that left by week with the usual and its limits."""
    values = [float(week.left) for week in extra.weeks]
    return _weekly(extra.weeks, output(extra.weeks), values, "Orders that left by week", "{:.1f}")


def _weekly(
    weeks: tuple[Week, ...],
    found: Limits | None,
    values: list[float | None] | list[float],
    title: str,
    shape: str,
) -> Chart | None:
    if not any(week.left for week in weeks):
        return None
    points = [
        Point(f"{dt.date.fromordinal(week.monday):%-d %b}", value, marked(found, place))
        for place, (week, value) in enumerate(zip(weeks, values, strict=True))
    ]
    if found is None:
        return individuals(points, title=title, desc="Too few weeks to say what is usual.")
    return individuals(
        points,
        title=title,
        centre=(found.centre, f"usual {shape.format(found.centre)}"),
        limits=[(level, f"limit {shape.format(level)}") for level in (found.high, found.low)],
    )


def _days(days: float | None) -> str:
    return "not reached" if days is None else f"{days:.1f} days"
