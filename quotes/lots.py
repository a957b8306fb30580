"""Lots: parts that came in together. How many lie in each, which may be fitted, where its pieces went.

Pieces of a lot are the sum of its moves and never below nought. What came in before there were lots, or without one,
is loose: the bin's count less what lies in lots. A stopped lot stays in the count and is not free to be fitted.
"""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Max, Min, Q, Sum

from intake import history
from intake.history import in_turn
from intake.models import Order, Person
from quotes.models import Lot, Move, Part
from quotes.refusals import Refused

FIRST_DIGITS = 4


@dataclass(frozen=True)
class Source:
    """Where pieces may be taken from: a lot, or None for those without one; and how many lie there."""

    lot: Lot | None
    pieces: int


@dataclass(frozen=True)
class Holder:
    """An order that holds `pieces` of a lot, fitted from `since` on, and the newest fitting of them."""

    order: Order
    pieces: int
    since: dt.datetime
    newest: dt.datetime


def pieces_of(lot: Lot) -> int:
    """How many of the lot lie in the bin."""
    return lot.moves.aggregate(sum=Sum("on_hand_change"))["sum"] or 0


def held(part: Part) -> dict[int | None, int]:
    """Lot id to pieces, for the lots that hold any; None to the loose ones. They add up to the bin's count."""
    rows = Move.objects.filter(part=part, lot__isnull=False).order_by().values("lot_id")
    in_lots: dict[int | None, int] = {
        row["lot_id"]: row["sum"] for row in rows.annotate(sum=Sum("on_hand_change")) if row["sum"]
    }
    return {**in_lots, None: part.on_hand - sum(in_lots.values())}


def barred(part: Part) -> int:
    """Pieces that lie in stopped lots of the part: counted, and not to be fitted."""
    rows = Move.objects.filter(part=part, lot__stopped_at__isnull=False)
    return rows.aggregate(sum=Sum("on_hand_change"))["sum"] or 0


def sources(part: Part) -> list[Source]:
    """Where a piece may come from: open lots, the oldest first, then the loose ones. Empty ones are left out."""
    pieces = held(part)
    lots = Lot.objects.filter(pk__in=[pk for pk in pieces if pk], stopped_at__isnull=True)
    found = [Source(lot, pieces[lot.pk]) for lot in lots.order_by("came_at", "id")]
    return [*found, Source(None, pieces[None])] if pieces[None] > 0 else found


def must_hold(part: Part, lot: Lot | None, quantity: int, *, fitted: bool) -> None:
    """Refuse what the lot does not hold, a lot of another part, and the fitting of a stopped one. Raises Refused."""
    pieces = held(part)
    if lot is None:
        if quantity > pieces[None]:
            raise Refused(_which(part, pieces[None]), field="lot")
        return
    if lot.part_id != part.pk:
        raise Refused(f"Lot {lot.number} holds another part than {part.number}.", field="lot")
    if fitted and lot.stopped_at is not None:
        raise Refused(f"Lot {lot.number} is stopped: {lot.stopped_why}", field="lot")
    if quantity > pieces.get(lot.pk, 0):
        raise Refused(
            f"Lot {lot.number} holds {pieces.get(lot.pk, 0)}; {quantity} wanted. Take the rest from another.",
            field="lot",
        )


def _which(part: Part, loose: int) -> str:
    named = ", ".join(f"{one.lot.number} ({one.pieces})" for one in sources(part) if one.lot)
    if not named:
        return f"{part.number}: what is left lies in a stopped lot and is not fitted."
    without = f" {loose} lie there without a lot." if loose else ""
    return f"{part.number} came in lots. Say which one: {named}.{without}"


@in_turn
def open_lot(*, part: Part, supplier: str, marks: str, by: Person, at: dt.datetime) -> Lot:
    """A new lot with the next number, still empty. Raises Refused without a supplier."""
    if not supplier.strip():
        raise Refused("Say where they came from.", field="supplier")
    lot = Lot.objects.create(
        number=_next_number(),
        part=part,
        supplier=supplier.strip()[:80],
        marks=marks.strip()[:80],
        came_at=at,
    )
    _tell(lot, "lot opened", by, at, supplier=lot.supplier, marks=lot.marks)
    return lot


def _next_number() -> str:
    """L-0001 and on; a number that a part bears already is passed over, since both are scanned."""
    newest = Lot.objects.filter(number__regex=r"^L-[0-9]+$").order_by("-pk").first()
    count = int(newest.number.partition("-")[2]) + 1 if newest else 1
    while _taken(_number(count)):
        count += 1
    return _number(count)


def _taken(number: str) -> bool:
    return Lot.objects.filter(number=number).exists() or Part.objects.filter(number__iexact=number).exists()


def _number(count: int) -> str:
    return f"L-{count:0{FIRST_DIGITS}d}"


def lot_meant(typed: str) -> Lot | None:
    """The lot of a scanned or typed number, or None."""
    return Lot.objects.select_related("part").filter(number__iexact=typed.strip()).first()


@in_turn
def stop(*, lot: Lot, why: str, by: Person, at: dt.datetime) -> Lot:
    """No more of it is fitted; what lies in it stays counted. Raises Refused without a reason, or when stopped already."""
    row = Lot.objects.select_for_update().get(pk=lot.pk)
    if not why.strip():
        raise Refused("Say why it is stopped.", field="why")
    if row.stopped_at is not None:
        raise Refused(f"Lot {row.number} is stopped already: {row.stopped_why}")
    row.stopped_at, row.stopped_why = at, why.strip()[:200]
    row.save(update_fields=["stopped_at", "stopped_why"])
    _tell(row, "lot stopped", by, at, why=row.stopped_why)
    return row


@in_turn
def open_again(*, lot: Lot, why: str, by: Person, at: dt.datetime) -> Lot:
    """A lot that was stopped may be fitted again. Raises Refused without a reason, or when it is not stopped."""
    row = Lot.objects.select_for_update().get(pk=lot.pk)
    if not why.strip():
        raise Refused("Say why it may be fitted again.", field="why")
    if row.stopped_at is None:
        raise Refused(f"Lot {row.number} is not stopped.")
    row.stopped_at, row.stopped_why = None, ""
    row.save(update_fields=["stopped_at", "stopped_why"])
    _tell(row, "lot opened again", by, at, why=why.strip()[:200])
    return row


def _tell(lot: Lot, what: str, by: Person, at: dt.datetime, **facts: object) -> None:
    told = {"lot": lot.number, "part": lot.part.number, **facts}
    history.record(order=None, what=what, by=by.username, at=at, facts=told)


def holders(lot: Lot) -> list[Holder]:
    """The orders that hold a piece of the lot now: fitted and not put back. The newest first."""
    rows = (
        lot.moves.filter(kind=Move.Kind.CONSUME, order__isnull=False)
        .order_by()
        .values("order_id")
        .annotate(
            sum=Sum("on_hand_change"), first=Min("at", filter=Q(on_hand_change__lt=0)), newest=Max("at")
        )
    )
    found = {row["order_id"]: row for row in rows if row["sum"] < 0}
    orders = Order.objects.select_related("device", "customer").in_bulk(found)
    made = [Holder(orders[pk], -row["sum"], row["first"], row["newest"]) for pk, row in sorted(found.items())]
    return sorted(made, key=lambda one: one.newest, reverse=True)
