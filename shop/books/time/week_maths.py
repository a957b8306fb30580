"""The last year week by week, and what the individuals chart says of it in words. Pure."""

import datetime as dt
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from statistics import median

from shop.books.individuals_maths import Chart, Rule, Signal, individuals
from shop.books.lines import DAY_SECONDS, House
from shop.books.periods import midnight
from shop.books.time.shapes import Week

WEEKS = 52
SEVEN = 7


def mondays(*, now: int, house: House, weeks: int = WEEKS) -> list[int]:
    """Ordinals of the Mondays that begin the last whole weeks, and last the one that ends them; the oldest first."""
    today = house.ordinal(now)
    this = today - dt.date.fromordinal(today).weekday()
    return [this - SEVEN * back for back in range(weeks, -1, -1)]


def weeks_of(stays: Iterable[tuple[int, int]], *, now: int, house: House) -> tuple[Week, ...]:
    """Whole weeks from stays as (arrived, left), from the first in which one left. The week that runs is left out: its half
    would look like a change."""
    edges = mondays(now=now, house=house)
    starts = [midnight(monday, house) for monday in edges]
    found: list[list[float]] = [[] for _ in edges[1:]]
    for arrived, left in stays:
        place = bisect_right(starts, left) - 1
        if 0 <= place < len(found):
            found[place].append((left - arrived) / DAY_SECONDS)
    weeks = [
        Week(monday, len(days), median(days) if days else None)
        for monday, days in zip(edges, found, strict=False)
    ]
    first = next((place for place, week in enumerate(weeks) if week.left), len(weeks))
    return tuple(weeks[first:])


def slowness(weeks: Sequence[Week]) -> Chart | None:
    """The chart of the weekly medians; None with too few weeks."""
    return individuals([week.median for week in weeks], lowest=0.0)


def output(weeks: Sequence[Week]) -> Chart | None:
    """The chart of how many left each week; here a week without orders is a nought."""
    return individuals([float(week.left) for week in weeks], lowest=0.0)


def said(signal: Signal, weeks: Sequence[Week], *, more: str, less: str) -> str:
    """A signal in words: 'slower than usual since the week of 3 Aug 2026'. `more` and `less` such as 'slower', 'quicker'."""
    word = more if signal.up else less
    first, last = (_week(weeks[place]) for place in (signal.first, signal.last))
    still = signal.last == len(weeks) - 1
    if signal.rule is Rule.OUTSIDE:
        return f"The week of {first} was far {word} than usual: outside the limits."
    if signal.rule is Rule.RUN:
        count = signal.last - signal.first + 1
        when = f"since the week of {first}" if still else f"from the week of {first} to that of {last}"
        return f"{word.capitalize()} than usual {when}: {count} in a row on one side."
    when = f"since the week of {first}" if still else f"from the week of {first} to that of {last}"
    return f"Each week {word} than the one before {when}."


def signals_said(chart: Chart | None, weeks: Sequence[Week], *, more: str, less: str) -> list[str]:
    """Every signal in words, the newest first."""
    if chart is None:
        return []
    found = sorted(chart.signals, key=lambda signal: -signal.last)
    return [said(signal, weeks, more=more, less=less) for signal in found]


def marked(chart: Chart | None, place: int) -> str:
    """Which rules a week breaks, in words; empty for none."""
    if chart is None:
        return ""
    rules = {signal.rule for signal in chart.signals if signal.first <= place <= signal.last}
    return ", ".join(sorted(rules))


def _week(week: Week) -> str:
    return f"{dt.date.fromordinal(week.monday):%-d %b %Y}"
