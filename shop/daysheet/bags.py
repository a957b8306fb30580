"""The count of the bags at close: which should be on the shelf, which were scanned, and the count that was signed."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from intake import codes, history
from intake.history import in_turn
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Station
from shop.daysheet.bag_words import Compared, by_number, compare, read_bag
from shop.models import BagCount


@dataclass(frozen=True)
class Line:
    """One bag with the order whose device lies in it, or lay in it last; `todo` is what to do about it."""

    bag: str
    order: Order | None
    todo: str = ""


@dataclass(frozen=True)
class Sheet:
    """What a count looks like so far."""

    compared: Compared
    here: list[Line]
    missing: list[Line]
    extra: list[Line]

    @property
    def wanted(self) -> int:
        """How many bags should be here."""
        return len(self.here) + len(self.missing)


def on_the_shelf() -> dict[str, Order]:
    """Every bag that should be in the house, with its order. One query."""
    rows = Order.objects.filter(
        arrived_at__isnull=False, sent_at__isnull=True, closed_at__isnull=True, station__lt=Station.WAY_HOME
    ).exclude(bag="")
    return {
        order.bag: order
        for order in sorted(rows.select_related("device"), key=lambda row: by_number(row.bag))
    }


def bag_of(typed: str) -> str:
    """The bag that was typed or scanned: its own name, or the code of the order on its label.

    Raises Refused with a sentence for the field.
    """
    words = typed.strip()
    if not words:
        raise Refused("Scan the label of a bag, or type its number.", field="bag")
    if bag := read_bag(words):
        return bag
    order = Order.objects.filter(code=codes.normalise(words) or "").first()
    if order is None:
        raise Refused(f"{words[:40]} is no bag and no order of ours.", field="bag")
    if not order.bag:
        raise Refused(f"{order.code} has no bag. Give it one at goods in.", field="bag")
    return order.bag


def sheet_of(found: Sequence[str]) -> Sheet:
    """The count so far against the sheets. Two queries."""
    shelf = on_the_shelf()
    compared = compare(shelf, found)
    last: dict[str, Order] = {}
    for order in Order.objects.filter(bag__in=compared.extra).select_related("device").order_by("created_at"):
        last[order.bag] = order
    return Sheet(
        compared,
        [Line(bag, shelf[bag]) for bag in compared.here],
        [Line(bag, shelf[bag], _todo_missing(shelf[bag])) for bag in compared.missing],
        [Line(bag, last.get(bag), _todo_extra(last.get(bag))) for bag in compared.extra],
    )


def _todo_missing(order: Order) -> str:
    where = "on the packing table" if order.station == Station.GOODS_OUT else "at the bench"
    return f"Look {where}, and ask who signed last."


def _todo_extra(order: Order | None) -> str:
    if order is None:
        return "No sheet has this bag. Open it, look for a code on the device, or begin a sheet at receiving."
    if order.sent_at or order.closed_at:
        return f"By its sheet {order.code} it has left. Look what is in the bag before you sign."
    return f"By its sheet {order.code} it is not here yet. Take it in at receiving."


@in_turn
def sign_count(*, found: Sequence[str], note: str, key: str, by: Person, at: dt.datetime) -> BagCount:
    """Write the count down as it is; the same key again is the same count. Only ever added.

    Raises Refused where bags differ and nobody says a word about it.
    """
    before = BagCount.objects.filter(key=key).first()
    if before is not None:
        return before
    expected = list(on_the_shelf())
    compared = compare(expected, found)
    if not compared.agrees and not note.strip():
        raise Refused("Say in a few words what was done about the bags that differ.", field="note")
    count = BagCount.objects.create(
        key=key,
        expected=expected,
        found=sorted(set(found), key=by_number),
        missing=list(compared.missing),
        extra=list(compared.extra),
        note=note.strip()[:300],
        at=at,
        by=by,
    )
    facts: dict[str, object] = {
        "expected": len(expected), "missing": count.missing, "extra": count.extra, "note": count.note,
    }  # fmt: skip
    history.record(order=None, what="bags counted", by=by.username, at=at, facts=facts)
    return count


def last_count() -> BagCount | None:
    """The newest count. One query."""
    return BagCount.objects.select_related("by").order_by("-at", "-pk").first()


def compared_of(count: BagCount) -> Compared:
    """What a count that was signed said."""
    return compare(count.expected, count.found)
