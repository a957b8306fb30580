"""Devices in the building: what they are worth, who waits too long, work that was agreed to, parts that were missing. Pure."""

from dataclasses import dataclass

from intake.stations import Station
from shop.books.figures import Column, Figure, Table
from shop.books.lines import DAY_SECONDS, Books, Line
from shop.books.owed.making import money as money_figure
from shop.books.owed.making import number, share
from shop.books.owed.shapes import Extra, Waiting

HIGHEST = 10
INSURED = "Compare it with what your insurance covers; the cover is for you and your insurer to say."
LOCAL_LAW = "What may be done with them is for this shop's terms and local law to say."


@dataclass(frozen=True)
class Unclaimed:
    """One device that waits for its customer longer than it is kept free of charge."""

    line: Line
    waits: Waiting
    days: int
    owed: int


def unclaimed(books: Books, extra: Extra) -> list[Unclaimed]:
    """Those that waited longest first."""
    lines = {line.order: line for line in books.here()}
    owed: dict[int, int] = {}
    for bill in extra.bills:
        owed[bill.order] = owed.get(bill.order, 0) + max(0, bill.left)
    found = []
    for row in extra.waiting:
        line = lines.get(row.order)
        if line is None or (row.pay_first and (not owed.get(row.order) or line.trade)):
            continue
        days = (books.now - row.since) // DAY_SECONDS
        if days > extra.storage_days:
            found.append(Unclaimed(line, row, days, owed.get(row.order, 0)))
    return sorted(found, key=lambda row: (-row.days, row.line.order))


def ahead(books: Books) -> list[Line]:
    """Agreed, here, and nothing repaired yet."""
    return [
        line
        for line in books.here()
        if line.answer == "accepted" and line.station <= Station.REPAIR and not line.repair and not line.test
    ]


def standing(books: Books, extra: Extra) -> list[Figure]:
    """Sums as they stand now."""
    here = books.here()
    told = [line for line in here if line.declared]
    late = unclaimed(books, extra)
    days = extra.storage_days
    return [
        money_figure(
            "owed-declared", "Devices in the building", sum(line.declared for line in told), [line.order for line in told],
            mark="K20", means=f"What customers said their devices are worth, of those here now. {INSURED}",
        ),
        number(
            "owed-undeclared", "Here without a value", [line.order for line in here if not line.declared],
            means="Devices here whose customer named no value: they are not in the sum beside this.",
        ),
        number(
            "owed-unclaimed", "Waiting too long", [row.line.order for row in late],
            means=f"Devices that have waited for their customer for more than {days} days: no answer to the quote, a slip, or "
            f"ready and not paid. {days} days is what the shop's own words on storage say.",
        ),
        _work_ahead(books, extra),
    ]  # fmt: skip


def _work_ahead(books: Books, extra: Extra) -> Figure:
    rows = ahead(books)
    a_day = extra.worked / extra.open_days if extra.open_days else 0
    minutes = sum(line.quoted_minutes for line in rows)
    return Figure(
        "owed-work-ahead",
        "Work ahead",
        minutes / a_day if a_day else None,
        "days",
        len(rows),
        f"Quoted minutes of orders agreed to and not begun, {minutes} in all, by the bench minutes of an open day: "
        f"{extra.worked} in the last four weeks on {extra.open_days} open days.",
        "Open orders are what it counts.",
        behind=tuple(line.order for line in rows),
        mark="K24",
    )


def flowing(books: Books, extra: Extra) -> list[Figure]:
    """Orders of the window that waited for a part."""
    needed = [
        line
        for line in books.lines
        if line.answer == "accepted" and line.needs_part and books.window.holds(line.answered)
    ]
    waited = [line for line in needed if line.part_wait >= 0]
    return [
        share(
            "owed-stock-outs", "Waited for a part", len(waited), len(needed), [line.order for line in waited], mark="K23",
            means="Orders agreed to in this period that had to wait for a part, of those that needed one.",
            treated="Orders waiting now count as waiting.",
        )
    ]  # fmt: skip


def tables(books: Books, extra: Extra) -> list[Table]:
    """The highest ten values, devices that wait too long, work ahead."""
    return [_highest(books), _unclaimed(books, extra), _ahead(books)]


def _highest(books: Books) -> Table:
    here = sorted(
        (line for line in books.here() if line.declared), key=lambda line: (-line.declared, line.order)
    )
    rows = [(line.order, line.customer, line.family, line.declared) for line in here[:HIGHEST]]
    return Table(
        "owed-building",
        "The ten of the highest value",
        "Devices here now, by the value their customers named.",
        (
            Column("order", "Order", "order"),
            Column("customer", "Customer", "customer"),
            Column("family", "Device", "text"),
            Column("declared", "Value named", "money"),
        ),
        rows,
        ("", "", "", sum(row[3] for row in rows)) if rows else (),
    )


def _unclaimed(books: Books, extra: Extra) -> Table:
    rows = [
        (
            row.line.order, row.line.customer, row.days, row.owed, row.line.declared, len(row.waits.letters),
            books.house.ordinal(row.waits.letters[-1]) if row.waits.letters else 0,
        )
        for row in unclaimed(books, extra)
    ]  # fmt: skip
    return Table(
        "owed-unclaimed",
        "Devices that wait too long",
        f"Waiting for their customer for more than {extra.storage_days} days, with the letters sent since. {LOCAL_LAW}",
        (
            Column("order", "Order", "order"),
            Column("customer", "Customer", "customer"),
            Column("days", "Days waiting", "count"),
            Column("owed", "Owed", "money"),
            Column("declared", "Value named", "money"),
            Column("letters", "Letters since", "count"),
            Column("last", "Last letter", "day"),
        ),
        rows,
    )


def _ahead(books: Books) -> Table:
    rows = [
        (line.order, line.customer, line.remedy, line.last_promise, line.quoted_minutes)
        for line in sorted(ahead(books), key=lambda line: (line.last_promise or 10**7, line.order))
    ]
    return Table(
        "owed-ahead",
        "Work ahead",
        "Orders agreed to and not begun, by the day that was promised.",
        (
            Column("order", "Order", "order"),
            Column("customer", "Customer", "customer"),
            Column("remedy", "Remedy", "text"),
            Column("promise", "Promised", "day"),
            Column("minutes", "Quoted minutes", "minutes"),
        ),
        rows,
        ("", "", "", "", sum(row[4] for row in rows)) if rows else (),
    )
