"""The replay as a table of orders, for the page and the files. Pure."""

from shop.books.figures import Cell, Column, Figure, Table
from shop.books.lines import Books
from shop.books.replay.replay_maths import over, replayed
from shop.books.replay.shapes import Both, Extra, Replayed

COLUMNS = (
    Column("order", "Order", "order"),
    Column("remedy", "Remedy", "text"),
    Column("look", "Looking", "minutes"),
    Column("billed_was", "Billed, as it was", "money"),
    Column("billed", "Billed, as it would have been", "money"),
    Column("cash_was", "Cash margin, as it was", "money"),
    Column("cash", "Cash margin, as it would have been", "money"),
    Column("minutes_was", "Minutes, as they were", "minutes"),
    Column("minutes", "Minutes, as they would have been", "minutes"),
    Column("full_was", "Full margin, as it was", "money"),
    Column("full", "Full margin, as it would have been", "money"),
    Column("difference", "Difference", "money"),
)


def figures(books: Books, extra: Extra) -> list[Figure]:
    """None: a replay is asked for, it is no figure of the week."""
    return []


def tables(books: Books, extra: Extra) -> list[Table]:
    """One row an order that left."""
    return [orders_table(replayed(books, extra), books)]


def orders_table(ran: Replayed, books: Books) -> Table:
    """Order by order, those that change most first; the sums are those of the rows."""
    known = sorted(ran.orders, key=lambda both: (-abs(both.difference), both.line.order))
    sums: tuple[Cell, ...] = (
        None, "", sum(both.line.look for both in known), ran.was.billed, ran.would.billed, ran.was.cash, ran.would.cash,
        over(ran.was.spent, 60), over(ran.would.spent, 60), ran.was.full, ran.would.full, ran.would.full - ran.was.full,
    )  # fmt: skip
    return Table(
        "replay-orders",
        "The replay, order by order",
        f"Orders that left, {books.window.words.lower()}. With nothing changed each row is the ledger's own. "
        "Minutes of an order that only a share still agrees to are rounded here, not in the sum.",
        COLUMNS,
        [_row(both) for both in known],
        sums if known else (),
    )


def _row(both: Both) -> tuple[Cell, ...]:
    line, was, would = both
    return (
        line.order, line.remedy, line.look, was.billed, would.billed, was.cash, would.cash, over(was.spent, 60),
        over(would.spent, 60), was.full, would.full, both.difference,
    )  # fmt: skip
