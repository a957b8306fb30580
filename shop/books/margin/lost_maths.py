"""What lost money: items that add up to the figure, each with its plainest reason. Pure.

An order is over when it has left, or is here with a quote that was declined or lapsed. Each one may give two items: the losses
written down for it, whole, and what it lacked besides. What stock counts found missing is an item of its own.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from shop.books.lines import Line
from shop.books.margin.fall_maths import OURS
from shop.books.margin.shapes import Extra

LISTED = 10
KINDS = {
    "parcel": "Lost parcels",
    "dispute": "Disputed payments",
    "damage": "Our own damage",
    "loss": "Other losses written down",
    "stock": "Stock short at a count",
    "warranty": "Warranty work",
    "no fix": "Not mended",
    "declined": "Answered no",
    "unanswered": "No answer",
    "underpriced": "Priced too low",
}
# By the cause that was written down.
CAME_BACK = {
    "same": "came back with the same fault: nothing billed",
    "work": "came back: our own work, nothing billed",
    "lot": "came back with a part of a bad lot: nothing billed",
}
WHY = {
    "parcel": "lost in the post",
    "dispute": "disputed payment",
    "damage": "our own damage: nothing billed",
    "loss": "made good by us",
    "stock": "counted less than the stockroom's rows said",
    "no fix": "not mended: looking and trying are unpaid",
    "declined": "answered no: the looking is unpaid",
    "unanswered": "no answer to the quote: the looking is unpaid",
    "underpriced": "parts and minutes above the price",
}


@dataclass(frozen=True)
class Item:
    """`amount` is what was lost, above nought, in smallest units. `order` 0: no order's."""

    order: int
    kind: str
    amount: int
    why: str


@dataclass(frozen=True)
class Listed:
    """The worst items, and the others in one sum; `total` is that of all."""

    items: tuple[Item, ...]
    others: int
    others_amount: int

    @property
    def total(self) -> int:
        return sum(item.amount for item in self.items) + self.others_amount


def is_over(line: Line) -> bool:
    """Gone, or here without a yes to come: what an open repair cost so far is no loss yet."""
    return bool(line.left) or line.answer in ("lapsed", "declined")


def items(lines: Iterable[Line], extra: Extra) -> list[Item]:
    """Everything that lost money, the worst first."""
    found = [item for line in lines if is_over(line) for item in _of(line, extra)]
    if extra.stock_short > 0:
        found.append(Item(0, "stock", extra.stock_short, WHY["stock"]))
    return sorted(found, key=lambda item: (-item.amount, item.order, item.kind))


def lost(lines: Iterable[Line], extra: Extra) -> int:
    """The sum of them."""
    return sum(item.amount for item in items(lines, extra))


def listed(found: list[Item], *, most: int = LISTED) -> Listed:
    """The first of a sorted list, the rest in one sum."""
    rest = found[most:]
    return Listed(tuple(found[:most]), len(rest), sum(item.amount for item in rest))


def by_kind(found: Iterable[Item]) -> list[tuple[str, int, int]]:
    """(kind, how many items, sum) of the kinds that occurred, in the order of KINDS."""
    rows = list(found)
    sums = [(kind, [item.amount for item in rows if item.kind == kind]) for kind in KINDS]
    return [(kind, len(amounts), sum(amounts)) for kind, amounts in sums if amounts]


def _of(line: Line, extra: Extra) -> list[Item]:
    found = []
    written = max(0, line.losses)
    if written:
        kind = _kind_of_loss(line, extra)
        words = "; ".join(extra.words.get(line.order, ()))
        found.append(Item(line.order, kind, written, words or WHY[kind]))
    lacking = -(line.full + written)
    if lacking > 0:
        kind = _kind(line)
        why = CAME_BACK.get(line.cause, "") if kind == "warranty" else ""
        found.append(Item(line.order, kind, lacking, why or WHY[kind]))
    return found


def _kind_of_loss(line: Line, extra: Extra) -> str:
    if line.order in extra.lost:
        return "parcel"
    if line.outcome == "own damage":
        return "damage"
    return "dispute" if line.order in extra.disputed else "loss"


def _kind(line: Line) -> str:
    if line.outcome == "own damage":
        return "damage"
    if line.comeback_of and line.cause in OURS:
        return "warranty"
    if line.outcome == "no fix":
        return "no fix"
    if line.answer == "declined" or line.outcome in ("declined", "recycled", "withdrawn"):
        return "declined"
    return "unanswered" if line.answer == "lapsed" or line.outcome == "unclaimed" else "underpriced"
