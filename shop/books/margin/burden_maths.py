"""Looking that nobody pays, and who has to earn it. Pure.

The burden is the bench's cost of orders that were not mended, answered no, or got no answer; comebacks stand apart, for their
minutes belong to the work that failed before. Billed repairs of the same stretch of time share it equally.
"""

from collections.abc import Iterable, Sequence

from shop.books.lines import Books, Line
from shop.books.margin.fall_maths import work_of
from shop.books.margin.sharing_maths import shared_out


def unpaid(lines: Iterable[Line]) -> list[Line]:
    """Lines whose minutes nobody pays."""
    return [line for line in lines if work_of(line) == "unpaid"]


def under_warranty(lines: Iterable[Line]) -> list[Line]:
    """Comebacks that the shop answers for."""
    return [line for line in lines if work_of(line) == "warranty"]


def billed_repairs(lines: Iterable[Line]) -> list[Line]:
    """Lines that were mended and billed: what has to carry the rest."""
    return [line for line in lines if line.mended and line.billed > 0]


def burden(lines: Iterable[Line]) -> int:
    """Bench cost of what nobody pays, smallest units."""
    return sum(line.bench for line in unpaid(lines))


def shares(lines: Sequence[Line]) -> dict[int, int]:
    """By order, each billed repair's share of the burden of these lines; whole units that add up to it exactly.

    Equal shares; the units that do not divide go to the orders with the lowest pk. Empty without a billed repair: then
    nobody carries it.
    """
    orders = sorted(line.order for line in billed_repairs(lines))
    return shared_out(burden(lines), dict.fromkeys(orders, 1))


def in_window(books: Books) -> list[Line]:
    """Orders that left in the window and, where it reaches up to now, those still here."""
    return [*books.gone(), *still_here(books)]


def still_here(books: Books) -> list[Line]:
    """Orders still here, where the window reaches up to now: of an earlier day nobody knows any more what was open then."""
    return books.here() if books.window.holds(books.now) else []
