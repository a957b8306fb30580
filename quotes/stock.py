"""The verbs of the stock ledger: each is a move and the counters in one transaction.

The counters' CHECKs refuse what Python might miss; the same key books once. Parts are taken in the order of
their ids, so that two who reserve cannot block each other for good. A move names the lot its pieces come from or go
to; what lies in stopped lots (`quotes.lots`) is on hand and not free.
"""

import datetime as dt
from collections import Counter
from decimal import Decimal

from django.db.models import F, Sum

from intake import history
from intake.history import in_turn
from intake.lifecycle import Actor
from intake.models import Order
from quotes import lots
from quotes.agreed import agreed_lines
from quotes.models import Lot, Move, Part, Quote
from quotes.refusals import NotEnough, Refused

_COST = Decimal("0.0001")


def _write(
    part: Part,
    kind: str,
    *,
    hand: int,
    aside: int,
    cost: Decimal,
    key: str,
    by: Actor,
    at: dt.datetime,
    order: Order | None = None,
    lot: Lot | None = None,
    why: str = "",
) -> Move:
    if order is not None:
        history.touch(order.pk)
    return Move.objects.create(
        key=key,
        part=part,
        kind=kind,
        on_hand_change=hand,
        reserved_change=aside,
        unit_cost=cost,
        order=order,
        lot=lot,
        at=at,
        who=by.name,
        why=why[:200],
    )


@in_turn
def receive(
    *,
    part: Part,
    quantity: int,
    unit_cost: Decimal,
    key: str,
    by: Actor,
    at: dt.datetime,
    why: str = "",
    lot: Lot | None = None,
) -> Move:
    """Put parts in the bin, into `lot` or loose; the unit cost becomes the moving average. Raises Refused."""
    known = Move.objects.filter(key=key).first()
    if known is not None:
        return known
    if quantity <= 0:
        raise Refused("Say how many came in: one or more.", field="quantity")
    if unit_cost < 0:
        raise Refused("A cost cannot be below nought.", field="unit_cost")
    if lot is not None and lot.part_id != part.pk:
        raise Refused(f"Lot {lot.number} holds another part than {part.number}.", field="lot")
    row = Part.objects.select_for_update().get(pk=part.pk)
    worth = row.unit_cost * row.on_hand + unit_cost * quantity
    row.unit_cost = (worth / (row.on_hand + quantity)).quantize(_COST)
    row.on_hand += quantity
    row.save(update_fields=["unit_cost", "on_hand"])
    return _write(
        row, "receive", hand=quantity, aside=0, cost=unit_cost, key=key, by=by, at=at, why=why, lot=lot
    )


@in_turn
def reserve(*, part: Part, quantity: int, order: Order, key: str, by: Actor, at: dt.datetime) -> Move:
    """Put parts aside for an order. Raises NotEnough when the bin has fewer free ones."""
    known = Move.objects.filter(key=key).first()
    if known is not None:
        return known
    barred = lots.barred(part)
    taken = Part.objects.filter(pk=part.pk, on_hand__gte=F("reserved") + quantity + barred).update(
        reserved=F("reserved") + quantity
    )
    part.refresh_from_db()
    if not taken:
        raise NotEnough(part.number, part.name, wanted=quantity, free=max(part.free - barred, 0))
    return _write(
        part, "reserve", hand=0, aside=quantity, cost=part.unit_cost, key=key, by=by, at=at, order=order
    )


def set_aside(order: Order) -> dict[int, int]:
    """What is put aside for an order now: part id to pieces."""
    rows = (
        Move.objects.filter(order=order)
        .order_by()
        .values("part_id")
        .annotate(aside=Sum("reserved_change"))
        .values_list("part_id", "aside")
    )
    return {part_id: aside for part_id, aside in rows if aside}


def put_aside(*, order: Order, quote: Quote, by: Actor, at: dt.datetime) -> list[str]:
    """Put the agreed parts aside, less what is already fitted. Returns a sentence for each that is short."""
    fitted: dict[int, int] = {}
    for move in order.moves.filter(kind="consume"):
        fitted[move.part_id] = fitted.get(move.part_id, 0) - move.on_hand_change
    have, missing = Counter(set_aside(order)), []
    have.update(fitted)
    agreed = [line for line in agreed_lines(quote.decision) if line.part is not None]
    for line in sorted(agreed, key=lambda line: (line.part_id, line.number)):
        # Two lines may want the same part: what one line has, the next has not.
        taken = min(int(line.quantity), max(have[line.part_id], 0))
        have[line.part_id] -= taken
        wanted = int(line.quantity) - taken
        if wanted <= 0:
            continue
        number = order.moves.filter(part=line.part, kind="reserve").count() + 1
        try:
            reserve(
                part=line.part,
                quantity=wanted,
                order=order,
                key=f"reserve:{quote.pk}:{line.pk}:{number}",
                by=by,
                at=at,
            )
        except NotEnough as short:
            missing.append(short.sentence)
    return missing


@in_turn
def release_all(*, order: Order, why: str, by: Actor, at: dt.datetime) -> None:
    """Put everything that is aside for an order back into its bin."""
    for part_id, aside in sorted(set_aside(order).items()):
        _release(order, part_id, aside, why=why, by=by, at=at)


def _release(order: Order, part_id: int, pieces: int, *, why: str, by: Actor, at: dt.datetime) -> None:
    Part.objects.filter(pk=part_id).update(reserved=F("reserved") - pieces)
    part = Part.objects.get(pk=part_id)
    count = Move.objects.filter(order=order, part=part, kind="release").count()
    key = f"release:{order.pk}:{part_id}:{count + 1}"
    _write(part, "release", hand=0, aside=-pieces, cost=part.unit_cost, key=key, by=by, at=at, order=order, why=why)  # fmt: skip


@in_turn
def release_short(*, part: Part, why: str, by: Actor, at: dt.datetime) -> list[Order]:
    """Put back what is aside beyond the pieces that may be fitted, the newest order first. Returns those orders."""
    row = Part.objects.select_for_update().get(pk=part.pk)
    over, told = row.reserved - (row.on_hand - lots.barred(row)), []
    sums = Move.objects.filter(part=row, order__isnull=False).order_by().values("order_id")
    aside = sums.annotate(sum=Sum("reserved_change")).filter(sum__gt=0).order_by("-order_id")
    for place in aside:
        if over <= 0:
            break
        pieces = min(over, place["sum"])
        order = Order.objects.get(pk=place["order_id"])
        _release(order, row.pk, pieces, why=why, by=by, at=at)
        over -= pieces
        told.append(order)
    return told


@in_turn
def take(
    *,
    part: Part,
    quantity: int,
    order: Order,
    key: str,
    by: Actor,
    at: dt.datetime,
    spoiled: bool = False,
    why: str = "",
    lot: Lot | None = None,
) -> Move:
    """Take parts from the bin to the bench, of `lot` or loose ones: first what is aside for the order, then free ones.

    A stopped lot is not fitted; what is spoiled of it may be written off. The move keeps the cost of the moment, so
    that an old margin never changes. Raises NotEnough, Refused (field "quantity" or "lot").
    """
    if (known := Move.objects.filter(key=key).first()) is not None:
        return known
    if quantity <= 0:
        raise Refused("Say how many were used: one or more.", field="quantity")
    row = Part.objects.select_for_update().get(pk=part.pk)
    lot = Lot.objects.get(pk=lot.pk) if lot is not None else None
    from_aside = min(quantity, set_aside(order).get(part.pk, 0))
    free = row.free if lot is not None and lot.stopped_at else max(row.free - lots.barred(row), 0)
    if quantity - from_aside > free:
        raise NotEnough(row.number, row.name, wanted=quantity, free=free + from_aside)
    lots.must_hold(row, lot, quantity, fitted=not spoiled)
    row.on_hand -= quantity
    row.reserved -= from_aside
    row.save(update_fields=["on_hand", "reserved"])
    used = {"part": row.number, "quantity": quantity, "lot": lot.number if lot else ""}
    what = "part spoiled" if spoiled else "part used"
    history.record(order=order, what=what, by=by.name, at=at, facts={**used, "why": why} if spoiled else used)
    return _write(
        row,
        "spoil" if spoiled else "consume",
        hand=-quantity,
        aside=-from_aside,
        cost=row.unit_cost,
        key=key,
        by=by,
        at=at,
        order=order,
        lot=lot,
        why=why,
    )


@in_turn
def give_back(*, move: Move, key: str, by: Actor, at: dt.datetime) -> Move:
    """Undo a part used by mistake: it goes back into the bin, free."""
    known = Move.objects.filter(key=key).first()
    if known is not None:
        return known
    if move.kind != "consume" or move.on_hand_change >= 0:
        raise Refused("Only a part that was fitted can be put back.")
    Part.objects.filter(pk=move.part_id).update(on_hand=F("on_hand") - move.on_hand_change)
    return _write(
        move.part,
        "consume",
        hand=-move.on_hand_change,
        aside=0,
        cost=move.unit_cost,
        key=key,
        by=by,
        at=at,
        order=move.order,
        lot=move.lot,
        why="put back",
    )


@in_turn
def count(
    *, part: Part, counted: int, key: str, by: Actor, at: dt.datetime, why: str, lot: Lot | None = None
) -> Move | None:
    """Write what was counted in `lot`, or in the whole bin; the difference is a move with its reason.

    None when it agrees. A bin's difference is one of the loose pieces: missing ones of a lot are counted in the lot.
    """
    known = Move.objects.filter(key=key).first()
    if known is not None:
        return known
    row = Part.objects.select_for_update().get(pk=part.pk)
    if lot is not None and lot.part_id != row.pk:
        raise Refused(f"Lot {lot.number} holds another part than {row.number}.", field="lot")
    change = counted - (row.on_hand if lot is None else lots.pieces_of(lot))
    if counted < 0 or row.on_hand + change < row.reserved:
        raise Refused(f"{row.reserved} are put aside for orders; free them first.", field="counted")
    if not change:
        return None
    loose = lots.held(row)[None]
    if lot is None and loose + change < 0:
        raise Refused(f"Only {loose} lie there without a lot. Count lot by lot.", field="lot")
    if not why.strip():
        raise Refused("Say why the count differs.", field="why")
    row.on_hand += change
    row.save(update_fields=["on_hand"])
    return _write(row, "count", hand=change, aside=0, cost=row.unit_cost, key=key, by=by, at=at, why=why, lot=lot)  # fmt: skip
