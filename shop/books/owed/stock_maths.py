"""What lies in the bins, what of it is at risk or has not moved, and what counting found. Pure.

Cost is the moving average of `quotes.stock`. A half year without a move as dead, a year's use as more than enough: common
practice, no source.
"""

from collections import defaultdict
from typing import Any

from shop.books.figures import Column, Figure, Table
from shop.books.lines import DAY_SECONDS, Books
from shop.books.owed.making import worth
from shop.books.owed.shapes import DEAD_DAYS, Extra, PartRow

STOPPED = "In a stopped lot"
TOO_MANY = "More than a year's use"


def is_dead(part: PartRow, now: int) -> bool:
    """On hand, and nothing of it moved in 180 days."""
    return part.on_hand > 0 and part.moved < now - DEAD_DAYS * DAY_SECONDS


def risks(part: PartRow) -> list[tuple[str, int]]:
    """(why, pieces): those in stopped lots, and those beyond a year's use at the pace of the last 180 days. What was not
    used at all is judged as dead stock, or is new."""
    year = (part.used * 365 + DEAD_DAYS - 1) // DEAD_DAYS
    beyond = max(0, part.on_hand - part.stopped - year) if part.used else 0
    return [(why, pieces) for why, pieces in ((STOPPED, part.stopped), (TOO_MANY, beyond)) if pieces]


def standing(books: Books, extra: Extra) -> list[Figure]:
    """Sums as they stand now."""
    here = [part for part in extra.parts if part.on_hand]
    aside = [part for part in here if part.reserved]
    risky = [(part, pieces) for part in here for _, pieces in risks(part)]
    dead = [part for part in here if is_dead(part, books.now)]
    return [
        worth(
            "owed-stock", "Stock", sum(part.worth for part in here), len(here), mark="K21",
            means="Pieces on hand at their cost, the moving average of what was paid for them.",
        ),
        worth(
            "owed-stock-aside", "Of it put aside for orders", sum(part.part_of(part.reserved) for part in aside), len(aside),
            means="Pieces that agreed orders wait to have fitted, at cost.",
        ),
        worth(
            "owed-stock-risk", "Of it at risk", sum(part.part_of(pieces) for part, pieces in risky),
            len({part.number for part, _ in risky}),
            means="Pieces in stopped lots, and pieces beyond a year's use at the pace of the last 180 days.",
        ),
        worth(
            "owed-stock-dead", "Dead stock", sum(part.worth for part in dead), len(dead), mark="K22",
            means="Parts on hand of which nothing came, went or was put aside in 180 days, at cost.",
        ),
    ]  # fmt: skip


def flowing(books: Books, extra: Extra) -> list[Figure]:
    """What counting found in the window."""
    rows = [row for row in extra.counted if books.window.holds(row.at)]
    return [
        worth(
            "owed-stock-lost", "Lost from stock", -sum(row.cost for row in rows), len(rows), counts="count",
            means="Pieces missing when the stock was counted, less pieces found, at cost. What was fitted or spoiled on an "
            "order is part of that order's margin and not of this.",
        )
    ]  # fmt: skip


def tables(books: Books, extra: Extra) -> list[Table]:
    """By bin; at risk; dead; to buy; counted."""
    return [_bins(extra), _risky(extra), _dead(books, extra), _low(extra), _counted(books, extra)]


def _bins(extra: Extra) -> Table:
    sums: dict[str, list[int]] = defaultdict(lambda: [0] * 5)
    for part in extra.parts:
        if part.on_hand:
            row = (1, part.on_hand, part.reserved, part.part_of(part.reserved), part.worth)
            sums[part.bin] = [old + new for old, new in zip(sums[part.bin], row, strict=True)]
    rows: list[tuple[Any, ...]] = [(place, *own) for place, own in sorted(sums.items())]
    return Table(
        "owed-bins",
        "Stock by bin",
        "What lies in each bin at cost, and what of it is put aside.",
        (
            Column("bin", "Bin", "text"),
            Column("parts", "Parts", "count"),
            Column("pieces", "Pieces", "count"),
            Column("aside", "Put aside", "count"),
            Column("aside_cost", "Put aside, at cost", "money"),
            Column("cost", "At cost", "money"),
        ),
        rows,
        ("", *(sum(row[spot] for row in rows) for spot in range(1, 6))),
    )


def _risky(extra: Extra) -> Table:
    rows = [
        (part.number, part.name, part.bin, why, pieces, part.part_of(pieces))
        for part in extra.parts
        for why, pieces in risks(part)
    ]
    return _parts(
        "owed-risk", "Stock at risk", "Parts in stopped lots, and more than a year's use.", rows, "Why"
    )


def _parts(
    key: str, name: str, means: str, rows: list[tuple[str, str, str, str, int, int]], why: str
) -> Table:
    return Table(
        key,
        name,
        means,
        (
            Column("part", "Part", "text"),
            Column("name", "Name", "text"),
            Column("bin", "Bin", "text"),
            Column("why", why, "text"),
            Column("pieces", "Pieces", "count"),
            Column("cost", "At cost", "money"),
        ),
        rows,
        ("", "", "", "", sum(row[4] for row in rows), sum(row[5] for row in rows)) if rows else (),
    )


def _dead(books: Books, extra: Extra) -> Table:
    rows = [
        (
            part.number,
            part.name,
            part.bin,
            books.house.ordinal(part.moved) if part.moved else 0,
            part.on_hand,
            part.worth,
        )
        for part in sorted(extra.parts, key=lambda part: (-part.worth, part.number))
        if is_dead(part, books.now)
    ]
    return Table(
        "owed-dead",
        "Dead stock",
        "Parts on hand of which nothing moved in 180 days.",
        (
            Column("part", "Part", "text"),
            Column("name", "Name", "text"),
            Column("bin", "Bin", "text"),
            Column("moved", "Last moved", "day"),
            Column("pieces", "Pieces", "count"),
            Column("cost", "At cost", "money"),
        ),
        rows,
        ("", "", "", "", sum(row[4] for row in rows), sum(row[5] for row in rows)) if rows else (),
    )


def _low(extra: Extra) -> Table:
    rows = [
        (part.number, part.name, part.bin, part.on_hand - part.reserved, part.reorder_at)
        for part in extra.parts
        if part.reorder_at and part.on_hand - part.reserved <= part.reorder_at
    ]
    return Table(
        "owed-low",
        "Parts to buy",
        "Parts with no more free pieces than the number at which more are bought.",
        (
            Column("part", "Part", "text"),
            Column("name", "Name", "text"),
            Column("bin", "Bin", "text"),
            Column("free", "Free", "count"),
            Column("level", "Buy at", "count"),
        ),
        rows,
    )


def _counted(books: Books, extra: Extra) -> Table:
    rows = [
        (books.house.ordinal(row.at), row.number, row.why, row.change, -row.cost)
        for row in extra.counted
        if books.window.holds(row.at)
    ]
    return Table(
        "owed-counted",
        "Found when counting",
        "Differences between bin and book, with their reason. Missing pieces are a loss, found ones take from it.",
        (
            Column("day", "Day", "day"),
            Column("part", "Part", "text"),
            Column("why", "Why", "text"),
            Column("pieces", "Pieces", "count"),
            Column("lost", "Lost", "money"),
        ),
        rows,
        ("", "", "", sum(row[3] for row in rows), sum(row[4] for row in rows)) if rows else (),
    )
