"""Readings of boards that are known to be good, whoever took them: mended orders of this shop, and good boards kept apart.

Known good is a standing reading after the repair on an order that ended fixed, found ok or with nothing to compare it with
(the board works: so a shop without a shelf of good boards learns too); or a reading of a good board that was not struck. Words are compared as the shop's lists fold and merge them, never as they were typed.
"""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import F, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from intake.models import Order
from intake.stations import Outcome
from quotes import word_lists
from quotes.bench_states import class_of
from quotes.list_words import BOARD, POINT, REVISION, Words, fold
from quotes.models import GoodReading, MeterOffset, Reading
from quotes.verdicts import UNKNOWN

_COLUMNS = (
    "board", "revision", "point", "state", "mode", "polarity", "meter", "value", "special", "prefix", "unit", "at",
    "name", "order_key", "good_key", "its_offset", "own_offset",
)  # fmt: skip


# The sheet a device first came with, for one that came back three times at most.
_FIRST_SHEET = (
    "order__comeback_of__comeback_of__comeback_of_id", "order__comeback_of__comeback_of_id",
    "order__comeback_of_id", "order_id",
)  # fmt: skip


@dataclass(frozen=True)
class Sample:
    """One good reading. `value` is in the base unit; `name` is what people call the board: an order's code or a label.

    `specimen` is the same for one board, whichever of its orders it came with. `state` is the class, `point_key`,
    `revision_key` and `meter_key` are folded. `shift` is what to add to compare it with a reading of the meter asked
    for, None where an offset is unknown. `good_id` is the row of a good board kept apart, 0 for an order's.
    """

    point: str
    point_key: str
    revision: str
    revision_key: str
    state: str
    mode: str
    polarity: str
    meter: str
    meter_key: str
    value: Decimal | None
    special: str
    prefix: str
    unit: str
    at: dt.datetime
    name: str
    specimen: str
    good_id: int
    shift: Decimal | None


def samples_of(
    *,
    words: Words,
    board: str,
    point: str = "",
    meter: str = "",
    at_order: Order | None = None,
    **exactly: str,
) -> list[Sample]:
    """The good readings of a board, the newest first; of one point where it is named. Two queries.

    `exactly`: mode and polarity, to ask for less. Readings of `at_order` and of the orders its device came with before
    are left out: no board judges itself.
    """
    spelled = _spellings(words, board, point, exactly.get("mode", ""))
    if not spelled:
        return []
    places = {"board__in": {pair[0] for pair in spelled}, "point__in": {pair[1] for pair in spelled}}
    mended = _mended(meter).filter(**places, **exactly)
    if at_order is not None:
        mended = mended.exclude(order_id__in=_same_device(at_order))
    apart = _apart(meter).filter(**places, **exactly)
    rows = mended.values_list(*_COLUMNS).union(apart.values_list(*_COLUMNS), all=True)
    found = [dict(zip(_COLUMNS, row, strict=True)) for row in rows]
    kept = [_sample(words, row) for row in found if (row["board"], row["point"]) in spelled]
    return sorted(kept, key=lambda sample: sample.at, reverse=True)


def _same_device(order: Order) -> list[int]:
    """The order, and every one its device came with before."""
    pks, before = [order.pk], order.comeback_of
    while before is not None and before.pk not in pks:
        pks.append(before.pk)
        before = before.comeback_of
    return pks


def boards() -> dict[str, str]:
    """The boards with good readings: folded word to a way it was typed. Two queries."""
    words = word_lists.snapshot([BOARD])
    typed = _good_orders().values_list("board").union(_standing().values_list("board"))
    found: dict[str, str] = {}
    for (board,) in sorted(typed):
        if board:
            found.setdefault(words.canonical(BOARD, board), board)
    return found


def _spellings(words: Words, board: str, point: str, mode: str) -> set[tuple[str, str]]:
    """Every way the board and its point were typed. One query, answered from the two indexes by point alone."""
    only = {"mode": mode} if mode else {}
    pairs = Reading.objects.filter(**only).order_by().values_list("board", "point")
    pairs = pairs.union(GoodReading.objects.filter(**only).order_by().values_list("board", "point"))
    wanted, at_point = words.canonical(BOARD, board), words.canonical(POINT, point, board)
    return {
        (place, spot)
        for place, spot in pairs
        if words.canonical(BOARD, place) == wanted
        and (not point or words.canonical(POINT, spot, place) == at_point)
    }


def _good_orders() -> QuerySet[Reading, Any]:
    return Reading.objects.filter(
        phase="after", verdict__in=("ok", UNKNOWN), superseded_by__isnull=True, order__outcome=Outcome.FIXED
    ).order_by()


def _standing() -> QuerySet[GoodReading, Any]:
    return GoodReading.objects.filter(struck_at__isnull=True).order_by()


def _mended(meter: str) -> QuerySet[Reading, Any]:
    return _good_orders().annotate(
        name=F("order__code"),
        order_key=Coalesce(*_FIRST_SHEET),
        good_key=Value(0),
        its_offset=_offset(OuterRef("meter")),
        own_offset=_offset(Value(meter)),
    )


def _apart(meter: str) -> QuerySet[GoodReading, Any]:
    return _standing().annotate(
        name=F("specimen"),
        order_key=Value(0),
        good_key=F("id"),
        its_offset=_offset(OuterRef("meter")),
        own_offset=_offset(Value(meter)),
    )


def _offset(meter: Any) -> Subquery:
    """The newest offset of a meter in the mode of the row."""
    known = MeterOffset.objects.filter(meter__name__iexact=meter, mode=OuterRef("mode"))
    return Subquery(known.order_by("-since", "-id").values("amount")[:1])


def _sample(words: Words, row: dict[str, Any]) -> Sample:
    its, own = row.pop("its_offset"), row.pop("own_offset")
    order, board = row.pop("order_key"), row.pop("board")
    return Sample(
        **{
            name: row[name] for name in ("point", "revision", "mode", "polarity", "meter", "value", "special")
        },
        **{name: row[name] for name in ("prefix", "unit", "at", "name")},
        point_key=words.canonical(POINT, row["point"], board),
        revision_key=words.canonical(REVISION, row["revision"], board),
        state=class_of(row["state"], row["mode"]),
        meter_key=fold(row["meter"]),
        specimen=f"order {order}" if order else f"board {fold(row['name'])}",
        good_id=row["good_key"],
        shift=None if its is None or own is None else own - its,
    )
