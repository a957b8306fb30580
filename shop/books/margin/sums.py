"""The figures of the margin. Pure: lines and plain values in, figures and tables out."""

from collections.abc import Iterable

from intake.wording import minutes
from shop.books.figures import Figure, Table
from shop.books.lines import Books, Line
from shop.books.margin import burden_maths, lost_maths, quoted_maths
from shop.books.margin.fall_maths import added
from shop.books.margin.shapes import Extra
from shop.books.margin.sharing_maths import per_hour, rounded
from shop.books.margin.table_maths import tables_of

GONE = "Orders still here are left out; what they cost so far stands apart as work in progress."
SO_FAR = "Orders still here count with what they brought and cost so far."


def figures(books: Books, extra: Extra) -> list[Figure]:
    """Every figure of this page, in the order it shows them."""
    return [
        *_left(books),
        *_hour(books, extra),
        *_burden(books),
        *_lost(books, extra),
        *_quoted(books),
        _progress(books),
    ]


def brief(books: Books, extra: Extra) -> list[Figure]:
    """Those of the weekly page."""
    return [*_left(books), *_hour(books, extra), *_lost(books, extra)]


def tables(books: Books, extra: Extra) -> list[Table]:
    """Every table of this page."""
    return tables_of(books, extra)


def _pks(lines: Iterable[Line]) -> tuple[int, ...]:
    return tuple(line.order for line in lines)


def _left(books: Books) -> list[Figure]:
    gone = books.gone()
    steps, n, behind = added(gone), len(gone), _pks(gone)
    each_cash = rounded(steps.cash, n) if n else None
    each_full = rounded(steps.full, n) if n else None
    return [
        Figure(
            "margin-billed", "Billed", steps.billed, "money", n,
            "Invoices less credit notes of orders that left in the period, without tax.",
            GONE, behind, always=True,
        ),
        Figure(
            "margin-cash", "Cash margin", steps.cash, "money", n,
            "Billed, less parts at cost, spoiled parts, post, payment fees and losses.",
            GONE, behind, mark="K14", always=True,
        ),
        Figure(
            "margin-full", "Full margin", steps.full, "money", n,
            f"Cash margin, less the minutes spent on these orders at what one cost the shop ({minutes(steps.minutes)}).",
            GONE, behind, mark="K15", always=True,
        ),
        Figure(
            "margin-cash-each", "Cash margin, each order", each_cash, "money", n,
            "Cash margin by the orders that left, work under warranty and what was not mended among them.",
            GONE, behind, mark="K14",
        ),
        Figure(
            "margin-full-each", "Full margin, each order", each_full, "money", n,
            "Full margin by the orders that left, work under warranty and what was not mended among them.",
            GONE, behind, mark="K15",
        ),
    ]  # fmt: skip


def _hour(books: Books, extra: Extra) -> list[Figure]:
    lines = burden_maths.in_window(books)
    steps, behind = added(lines), _pks(lines)
    cost = rounded(books.house.cost_per_minute * 60, 10_000)
    said = "by all minutes that were begun in the period, paid or not"
    return [
        Figure(
            "margin-hour", "An hour at the bench earned", per_hour(steps.cash, extra.minutes), "money an hour", len(lines),
            f"Cash margin of orders that left and of those still here, {said}. Set it against what an hour at the bench costs.",
            SO_FAR, behind, mark="K17",
        ),
        Figure(
            "margin-hour-undisturbed", "The same without losses", per_hour(steps.cash + steps.losses, extra.minutes),
            "money an hour", len(lines),
            "As above, without lost parcels, disputes, write-offs and what was made good.",
            SO_FAR, behind, mark="K17",
        ),
        Figure(
            "margin-hour-cost", "An hour at the bench costs", cost, "money an hour", 1,
            "What a bench minute costs by the rates in force now, times sixty.",
            "", always=True, counts="rate",
        ),
        Figure(
            "margin-minutes", "Minutes at the bench", extra.minutes, "minutes", len(lines),
            "Every minute whose work began in the period, on any order.",
            "Minutes on orders still here are counted: they were spent.", behind, always=True,
        ),
    ]  # fmt: skip


def _burden(books: Books) -> list[Figure]:
    lines = burden_maths.in_window(books)
    unpaid, billed = burden_maths.unpaid(lines), burden_maths.billed_repairs(lines)
    burden = burden_maths.burden(lines)
    came = burden_maths.under_warranty(books.gone())
    warranty = sum(line.bench - line.cash for line in came)
    open_words = "Orders still here count once their quote was declined, lapsed or waits for its answer."
    return [
        Figure(
            "margin-burden", "Looking nobody pays", burden, "money", len(unpaid),
            "Bench cost of orders that were not mended, answered no, or got no answer. Comebacks stand apart.",
            open_words, _pks(unpaid), mark="K16", always=True, counts="order unpaid",
        ),
        Figure(
            "margin-burden-each", "The same, for each billed repair", rounded(burden, len(billed)) if billed else None,
            "money", len(billed), "Looking nobody pays, by the repairs that were mended and billed.",
            open_words, _pks(billed), mark="K16", counts="repair billed",
        ),
        Figure(
            "margin-warranty", "Work under warranty", warranty, "money", len(came),
            "What comebacks cost that the shop answers for (same fault, own work, bad lot): parts, post and minutes, "
            "less what was billed.",
            "Comebacks still here are left out.", _pks(came), always=True, counts="comeback",
        ),
    ]  # fmt: skip


def _lost(books: Books, extra: Extra) -> list[Figure]:
    found = lost_maths.items(burden_maths.in_window(books), extra)
    orders = tuple(dict.fromkeys(item.order for item in found if item.order))
    return [
        Figure(
            "margin-lost", "Lost", sum(item.amount for item in found), "money", len(orders),
            "Losses written down on orders that are over, what those orders lacked besides, and stock short at a count. "
            "The list below adds up to it.",
            "Orders still here count once their quote was declined or lapsed.", orders, always=True,
        )
    ]  # fmt: skip


def _quoted(books: Books) -> list[Figure]:
    rows = quoted_maths.fixed_prices(books.gone())
    value = quoted_maths.overall(rows)
    return [
        Figure(
            "margin-quoted", "Minutes spent for each quoted", value, "ratio", len(rows),
            "Looking and repairing by the minutes of the agreed quotes. Over 1: slower than quoted.",
            "Only orders that were mended and have left.", _pks(rows), mark="K18",
        )
    ]  # fmt: skip


def _progress(books: Books) -> Figure:
    here = burden_maths.still_here(books)
    steps = added(here)
    return Figure(
        "margin-progress", "Work in progress", steps.full, "money", len(here),
        "What orders still here brought and cost so far, minutes among it. In no mean above.",
        "These are the open orders.", _pks(here), always=True,
    )  # fmt: skip
