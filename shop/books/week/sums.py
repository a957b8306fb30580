"""What the weekly page counts by itself: what came and left, what is here, which quotes wait. Pure."""

from shop.books.figures import Column, Figure, Table
from shop.books.lines import DAY_SECONDS, Books, Line
from shop.books.week.shapes import Extra

NOW = "These are open orders, as they stand now, whatever the period."


def figures(books: Books, _extra: Extra) -> list[Figure]:
    """In the order of the page. Those about what is here are of now and the same in every window."""
    return [*_moved(books), *_waiting(books), *_here(books)]


def tables(books: Books, _extra: Extra) -> list[Table]:
    """The quotes that wait, the longest first."""
    columns = (
        Column("order", "Order", "order"),
        Column("customer", "Customer", "customer"),
        Column("sent", "First sent", "moment"),
        Column("days", "Days", "days"),
        Column("worth", "Worth, with tax", "money"),
    )
    rows = [
        (line.order, line.customer, line.first_sent, days_waited(line, books.now), line.quoted)
        for line in waiting(books)
    ]
    means = "Quotes that wait for an answer now, the longest first. Days since the first quote of the order was sent."
    sums = (0, 0, 0, None, sum(line.quoted for line in waiting(books)))
    return [Table("week-waiting", "Quotes waiting", means, columns, rows, sums if rows else ())]


def waiting(books: Books) -> list[Line]:
    """Orders here whose newest quote waits for its answer, the longest first."""
    found = [line for line in books.here() if line.answer == "waiting"]
    return sorted(found, key=lambda line: (line.first_sent, line.order))


def days_waited(line: Line, now: int) -> float:
    """Days since the first quote was sent."""
    return max(0, now - line.first_sent) / DAY_SECONDS


def _pks(lines: list[Line]) -> tuple[int, ...]:
    return tuple(line.order for line in lines)


def _moved(books: Books) -> list[Figure]:
    came, gone = books.came(), books.gone()
    return [
        Figure(
            "week-came", "Devices that came", len(came), "orders", len(came),
            "Orders whose parcel was taken in within the period. One device is one order.",
            "Those still here are counted.", _pks(came), always=True,
        ),
        Figure(
            "week-left", "Devices that left", len(gone), "orders", len(gone),
            "Orders that were sent, handed over or recycled within the period.",
            "Those still here are left out.", _pks(gone), always=True,
        ),
    ]  # fmt: skip


def _waiting(books: Books) -> list[Figure]:
    rows = waiting(books)
    longest = days_waited(rows[0], books.now) if rows else None
    return [
        Figure(
            "week-waiting", "Quotes that wait for an answer", len(rows), "orders", len(rows),
            "Orders here whose newest quote was sent and not answered, declined or lapsed yet.",
            NOW, _pks(rows), always=True,
        ),
        Figure(
            "week-waiting-worth", "What they are worth", sum(line.quoted for line in rows), "money", len(rows),
            "Totals of those quotes, with tax.", NOW, _pks(rows), always=True,
        ),
        Figure(
            "week-waiting-longest", "The longest has waited", longest, "days", len(rows),
            "Days since the first quote of that order was sent.", NOW, _pks(rows[:1]), always=True,
        ),
    ]  # fmt: skip


def _here(books: Books) -> list[Figure]:
    here = books.here()
    return [
        Figure(
            "week-here", "Devices in the building", len(here), "orders", len(here),
            "Orders that were taken in and have not left.", NOW, _pks(here), always=True,
        )
    ]  # fmt: skip
