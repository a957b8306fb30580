"""What the page of money owed must show of the demonstration's twelve orders, to the digit."""

from dataclasses import replace

from intake.models import Order
from shop.books.figures import Figure
from shop.books.lines import Books
from shop.books.owed import queries, sums
from shop.books.owed.shapes import Extra

# Invented demo world, its weekly figures.
WANTED = {
    "owed-outstanding": 24_300,
    "owed-not-due": 24_300,
    "owed-overdue": 0,
    "owed-deposits": 0,
    "owed-disputed": 12_848,
    "owed-refunds": 0,
}


def check(books: Books, named: dict[str, Order]) -> None:
    """`books` hold the lines of the twelve alone; what was read beside them is cut to the same orders."""
    extra = of_these(books, queries.extra(books))
    found = {figure.key: figure for figure in sums.figures(books, extra)}
    assert {key: found[key].value for key in WANTED} == WANTED
    assert set(found["owed-disputed"].behind) == {named["garrick"].pk}
    assert _whose(found["owed-outstanding"], books) == {"trade"}
    # Hollis has waited since early January; nothing is owed.
    assert found["owed-unclaimed"].behind == (named["hollis"].pk,)
    waiting = next(table for table in sums.tables(books, extra) if table.key == "owed-unclaimed")
    (row,) = waiting.named()
    assert (row["days"], row["owed"], row["letters"]) == (52, 0, 4)


def of_these(books: Books, extra: Extra) -> Extra:
    """What was read, of the orders that the books hold."""
    mine = {line.order for line in books.lines}
    return replace(
        extra,
        uneven=(),
        bills=tuple(bill for bill in extra.bills if bill.order in mine),
        held={order: amount for order, amount in extra.held.items() if order in mine},
        refunds={order: amount for order, amount in extra.refunds.items() if order in mine},
    )


def _whose(figure: Figure, books: Books) -> set[str]:
    lines = {line.order: line for line in books.lines}
    return {"trade" if lines[order].trade else "consumer" for order in figure.behind}
