"""Quotes by month, price, kind of fault and way of answering; and the share answered by each day. Pure."""

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence

from shop.books.figures import Cell, Column, Table
from shop.books.lines import Books, House, Line
from shop.books.promises.answer_sums import (
    COHORT,
    DAY_HOURS,
    DECIDED,
    FATES,
    LAST_DAY,
    SILENT,
    WAITING,
    answer_curve,
    cohort,
)
from shop.books.promises.shapes import Extra
from shop.books.promises.shares import SHARE_COLUMNS, month_of, share_cells
from shop.books.turnaround_maths import Curve

# Fixed limits, so that a band means the same in every year; times a hundred where a currency has no smaller unit.
BANDS = (50, 100, 200, 400)
CHANNELS = {
    "link": "By the customer, on the link",
    "phone": "By phone, noted by staff",
    "person": "In person, noted by staff",
    "limit": "By the standing limit, nobody was asked",
}
FATE_COLUMNS = (
    Column("sent", "Quotes", "orders"),
    *(Column(fate, fate.capitalize(), "orders") for fate in FATES),
)


def tables(books: Books, extra: Extra) -> list[Table]:
    lines, house = cohort(books), books.house
    by_band = _counted(lines, lambda line: band(line.quoted, house))
    by_reminder = _counted(lines, lambda line: reminded(line, extra.reminders, books.now))
    by_fault = _counted(lines, lambda line: line.fault)
    largest = sorted(by_fault, key=lambda fault: (-by_fault[fault].total(), fault))
    return [
        _by_fate("quote-cohorts", "Quotes by month", "Month sent", "the month a first quote was sent in", by_month(books)),
        _by_fate(
            "quote-bands", "Quotes by price", "Price with tax", f"a band of prices with tax, in {house.currency}",
            [(each, by_band[each]) for each in bands(house) if each in by_band],
        ),
        _by_fate(
            "quote-faults", "Quotes by kind of fault", "Kind of fault", "one kind of fault that was found",
            [(fault, by_fault[fault]) for fault in largest],
        ),
        _channels(lines),
        _by_fate(
            "quote-reminders", "Quotes by reminders", "Reminders before the answer",
            "a number of reminders that had gone when the answer came, the quote lapsed, or until now", sorted(by_reminder.items(), key=lambda row: (row[0] != "none", row[0])),
        ),
        _days(answer_curve(books)),
    ]  # fmt: skip


def by_month(books: Books) -> list[tuple[str, Counter[str]]]:
    """The cohort's quotes by fate, by month in order."""
    return sorted(_counted(cohort(books), lambda line: month_of(line.first_sent, books.house)).items())


def bands(house: House) -> list[str]:
    """The bands of price as they are written, in order."""
    scale = 1 if house.digits else 100
    limits = [limit * scale for limit in BANDS]
    spans = [f"{low} to {high}" for low, high in zip([0, *limits], limits, strict=False)]
    return [*spans, f"over {limits[-1]}"]


def band(quoted: int, house: House) -> str:
    """The band a price in smallest units lies in; a limit belongs to the band below it."""
    unit: int = 10**house.digits * (1 if house.digits else 100)
    place = sum(quoted > limit * unit for limit in BANDS)
    return bands(house)[place]


def reminded(line: Line, reminders: Mapping[int, tuple[int, ...]], now: int) -> str:
    """How many reminders had gone before the answer, as words."""
    count = sum(moment <= (line.answered or now) for moment in reminders.get(line.order, ()))
    return f"{count} reminder{'' if count == 1 else 's'}" if count else "none"


def _by_fate(key: str, name: str, head: str, row: str, counts: Sequence[tuple[str, Counter[str]]]) -> Table:
    """Rows of words, cut by what became of their quotes."""
    means = (
        f"{COHORT} The share is of those agreed to, declined or lapsed, with Wilson limits (95 %). {WAITING}"
    )
    return Table(
        key,
        name,
        f"A row is {row}. {means}",
        (Column("group", head, "text"), *FATE_COLUMNS, *SHARE_COLUMNS),
        [(word, *_cells(own)) for word, own in counts],
        (None, *_cells(sum((own for _, own in counts), Counter()))) if counts else (),
    )


def _counted(lines: Sequence[Line], word: Callable[[Line], str]) -> dict[str, Counter[str]]:
    counts: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for line in lines:
        counts[word(line)][line.answer] += 1
    return counts


def _cells(counts: Counter[str]) -> tuple[Cell, ...]:
    known = sum(counts[fate] for fate in DECIDED)
    return (
        counts.total(),
        *(counts[fate] for fate in FATES),
        *share_cells(counts["accepted"], known),
    )


def _channels(lines: Sequence[Line]) -> Table:
    answered = [line for line in lines if line.answer in ("accepted", "declined")]
    given = Counter(line.channel for line in answered)
    agreed = Counter(line.channel for line in answered if line.answer == "accepted")
    rows: list[tuple[Cell, ...]] = [
        (words, given[key], agreed[key], given[key] - agreed[key], *share_cells(agreed[key], given[key]))
        for key, words in CHANNELS.items()
        if given[key]
    ]
    sums = (None, given.total(), agreed.total(), given.total() - agreed.total(),
            *share_cells(agreed.total(), given.total()))  # fmt: skip
    return Table(
        "quote-channels", "Quotes by the way they were answered",
        f"A row is one way of answering. {COHORT} Quotes without an answer have no way, so that the share here is of answers alone.",
        (
            Column("group", "Answered", "text"), Column("answers", "Answers", "orders"),
            Column("accepted", "Accepted", "orders"), Column("declined", "Declined", "orders"), *SHARE_COLUMNS,
        ),
        rows, sums if rows else (),
    )  # fmt: skip


def _days(curve: Curve) -> Table:
    """Day by day up to the last one known, at most LAST_DAY; only days on which something changed."""
    rows: list[tuple[Cell, ...]] = []
    past, before = 0, 0
    for day in range(1, LAST_DAY + 1):
        until = day * DAY_HOURS
        ended = sum(step.ended for step in curve.steps[past:] if step.time <= until)
        past = sum(step.time <= until for step in curve.steps)
        if ended:
            step = curve.steps[past - 1]
            risk = curve.steps[before].at_risk
            rows.append((day, ended, risk, 1 - step.open_share, 1 - step.high, 1 - step.low))
        before = past
    return Table(
        "quote-answer-days", "Answered by day",
        "A row is a day after the first quote on which answers came. " + SILENT,
        (
            Column("day", "Within days", "orders"), Column("answers", "Answered that day", "orders"),
            Column("waiting", "Waiting just before", "orders"), Column("share", "Answered by then", "share"),
            *SHARE_COLUMNS[1:],
        ),
        rows,
    )  # fmt: skip
