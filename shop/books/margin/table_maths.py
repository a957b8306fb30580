"""The tables of the margin. Pure."""

from collections.abc import Iterable

from shop.books.figures import Cell, Column, Table
from shop.books.lines import Books, Line
from shop.books.margin import burden_maths, lost_maths, quoted_maths
from shop.books.margin.fall_maths import added
from shop.books.margin.groups_maths import AMOUNTS, FACETS, table
from shop.books.margin.shapes import KINDS, Extra
from shop.books.margin.sharing_maths import per_hour

ORDER_COLUMNS = (
    Column("order", "Order", "order"),
    Column("customer", "Customer", "customer"),
    Column("outcome", "Outcome", "text"),
    Column("billed", "Billed", "money"),
    Column("parts", "Parts", "money"),
    Column("spoiled", "Spoiled", "money"),
    Column("post", "Post", "money"),
    Column("fees", "Fees", "money"),
    Column("losses", "Losses", "money"),
    Column("cash", "Cash margin", "money"),
    Column("minutes", "Minutes", "minutes"),
    Column("bench", "Bench", "money"),
    Column("full", "Full margin", "money"),
)


def tables_of(books: Books, extra: Extra) -> list[Table]:
    """Every table, whole."""
    gone, lines = books.gone(), burden_maths.in_window(books)
    return [
        _fall(gone),
        *(table(gone, facet) for facet in FACETS),
        _months(extra),
        _minutes(extra),
        _quoted(gone),
        *_lost(lines, extra),
        _orders("margin-orders", "Orders that left", "Each order that left in the period.", gone),
        _orders(
            "margin-open", "Work in progress", "Each order still here, with what it brought and cost so far.",
            burden_maths.still_here(books),
        ),
    ]  # fmt: skip


def brief(books: Books, extra: Extra) -> list[Table]:
    """Those of the weekly page."""
    return _lost(burden_maths.in_window(books), extra)


def _fall(gone: list[Line]) -> Table:
    steps = added(gone)
    return Table(
        "margin-fall",
        "From billed to full margin",
        "The steps of all orders that left in the period. Cash margin and full margin are sums; the other rows add up to them.",
        (Column("step", "Step", "text"), Column("amount", "Amount", "money")),
        [(fall.name, fall.amount) for fall in steps.falls()],
    )


def _months(extra: Extra) -> Table:
    rows = [
        (month.first, month.orders, month.billed, month.cash, month.full, month.minutes,
         per_hour(month.cash, month.minutes))
        for month in extra.since_the_first
    ]  # fmt: skip
    return Table(
        "margin-months",
        "Margin by month",
        "Orders that left in the month, whatever the period above, with all minutes spent on them. The day is the first of the month.",
        (Column("month", "Month", "day"), *AMOUNTS),
        rows,
    )


def _minutes(extra: Extra) -> Table:
    people = sorted({who for _, who in extra.worked})
    rows: list[tuple[Cell, ...]] = []
    for who in people:
        spent = [extra.worked.get((kind, who), 0) for kind in KINDS]
        rows.append((who, *spent, sum(spent)))
    sums = [sum(spent for (kind, _), spent in extra.worked.items() if kind == wanted) for wanted in KINDS]
    kinds = (Column(key, name, "minutes") for key, name in KINDS.items())
    return Table(
        "margin-minutes",
        "Minutes at the bench",
        "Minutes whose work began in the period, by who spent them.",
        (Column("person", "Who", "person"), *kinds, Column("all", "All", "minutes")),
        rows,
        (0, *sums, sum(sums)) if rows else (),
    )


def _quoted(gone: list[Line]) -> Table:
    rows = [
        (row.remedy, row.n, row.quoted, row.spent, float(row.ratio), float(row.middle), float(row.worst),
         row.worst_order)
        for row in quoted_maths.by_remedy(gone)
    ]  # fmt: skip
    return Table(
        "margin-quoted",
        "Fixed quotes against what they took",
        "Orders that were mended and left in the period: looking and repairing by the minutes of the agreed quote.",
        (
            Column("remedy", "Remedy", "text"),
            Column("orders", "Orders", "orders"),
            Column("quoted", "Quoted minutes", "minutes"),
            Column("spent", "Spent", "minutes"),
            Column("ratio", "Spent by quoted", "ratio"),
            Column("middle", "Middle order", "ratio"),
            Column("worst", "Worst", "ratio"),
            Column("order", "Whose", "order"),
        ),
        rows,
    )


def _lost(lines: list[Line], extra: Extra) -> list[Table]:
    found = lost_maths.items(lines, extra)
    listed = lost_maths.listed(found)
    columns = (
        Column("order", "Order", "order"),
        Column("kind", "Kind", "text"),
        Column("why", "Why", "text"),
        Column("amount", "Lost", "money"),
    )
    top: list[tuple[Cell, ...]] = list(_items(listed.items))
    if listed.others:
        top.append(
            (f"{listed.others} others", "Various", "each no more than those above", listed.others_amount)
        )
    means = "The worst first. An order may stand twice: with a loss that was written down, and with what it lacked besides."
    sums: tuple[Cell, ...] = ("", "", "", listed.total) if found else ()
    kinds = [(lost_maths.KINDS[kind], count, amount) for kind, count, amount in lost_maths.by_kind(found)]
    kind_columns = (
        Column("kind", "Kind", "text"), Column("items", "Items", "orders"), Column("amount", "Lost", "money"),
    )  # fmt: skip
    return [
        Table("margin-lost-top", "What lost money", means, columns, top, sums),
        Table("margin-lost-all", "What lost money, item by item", means, columns, list(_items(found)), sums),
        Table(
            "margin-lost-kinds", "What lost money, by kind", "The same items, by what went wrong.", kind_columns, kinds,
            ("", len(found), listed.total) if found else (),
        ),
    ]  # fmt: skip


def _items(found: Iterable[lost_maths.Item]) -> Iterable[tuple[Cell, ...]]:
    return ((item.order or "Stockroom", lost_maths.KINDS[item.kind], item.why, item.amount) for item in found)


def _orders(key: str, name: str, means: str, lines: list[Line]) -> Table:
    rows = [
        (line.order, line.customer, line.outcome, line.billed, line.parts, line.spoiled, line.post, line.fees, line.losses,
         line.cash, line.minutes, line.bench, line.full)
        for line in sorted(lines, key=lambda line: (line.full, line.order))
    ]  # fmt: skip
    steps = added(lines)
    sums = (
        "", "", "", steps.billed, steps.parts, steps.spoiled, steps.post, steps.fees, steps.losses, steps.cash,
        steps.minutes, steps.bench, steps.full,
    )  # fmt: skip
    return Table(key, name, means, ORDER_COLUMNS, rows, sums if rows else ())
