"""Lots in the stockroom: parts that come in as a lot, and what stopping one sets off on the open sheets."""

import datetime as dt
from decimal import Decimal

from intake import lifecycle
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import SlipReason, Station
from quotes import lots, stock
from quotes.models import Lot, Move, Part

STOP_REASONS = {
    "sample": "Sample test failed",
    "bad": "Bad on arrival",
    "fault": "Failed after it was fitted",
    "recall": "The supplier's recall",
    "doubt": "Not what it says it is",
    "other": "Another reason",
}


@in_turn
def receive_lot(
    *,
    part: Part,
    quantity: int,
    unit_cost: Decimal,
    supplier: str,
    marks: str,
    note: str,
    key: str,
    by: Person,
    at: dt.datetime,
) -> Lot:
    """Parts that came in together: a lot of their own with the next number. The same key makes one lot. Raises Refused."""
    known = Move.objects.filter(key=key).select_related("lot").first()
    if known is not None and known.lot is not None:
        return known.lot
    if quantity <= 0:
        raise Refused("Say how many came in: one or more.", field="quantity")
    lot = lots.open_lot(part=part, supplier=supplier, marks=marks, by=by, at=at)
    why = note.strip() or f"from {lot.supplier}"
    stock.receive(
        part=part, quantity=quantity, unit_cost=unit_cost, key=key, by=staff(by), at=at, why=why, lot=lot
    )
    return lot


@in_turn
def stop_lot(*, lot: Lot, reason: str, words: str, by: Person, at: dt.datetime) -> list[Order]:
    """No more of the lot is fitted. Orders that had pieces aside and cannot be served wait for a part; they are returned.

    `reason` is a key of `STOP_REASONS`; another reason needs words. Raises Refused.
    """
    if reason not in STOP_REASONS:
        raise Refused("Choose why it is stopped.", field="reason")
    if reason == "other" and not words.strip():
        raise Refused("Say why it is stopped.", field="words")
    said = words.strip() if reason == "other" else STOP_REASONS[reason]
    why = f"{said}: {words.strip()}" if words.strip() and reason != "other" else said
    row = lots.stop(lot=lot, why=why, by=by, at=at)
    short = stock.release_short(part=row.part, why=f"lot {row.number} stopped", by=staff(by), at=at)
    for order in short:
        if order.station == Station.REPAIR:
            lifecycle.hold(
                order,
                reason=SlipReason.PART,
                by=staff(by),
                at=at,
                note=f"{row.part.number}: lot {row.number} is stopped.",
            )
    return short
