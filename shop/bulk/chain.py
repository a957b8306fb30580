"""The history of the made orders: a few entries each, in turn of time over all orders, chained as `intake.history` chains them."""

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db import connection, transaction

from intake.history import GENESIS, canonical
from intake.models import HistoryEntry, HistoryHead, Order
from shop.bulk.calendar import Calendar, write_rows
from shop.bulk.moulds import Moment, Mould, place_of
from shop.bulk.plan import Planned

PORTION = 20_000


@dataclass(frozen=True)
class Told:
    """One entry of a mould: when, who, what, and its facts as canonical text."""

    moment: Moment
    who: str
    what: str
    facts: str


def told_of(mould: Mould, order: Order) -> tuple[Told, ...]:
    """When the sheet was opened and how it moved last: what a page of history needs to make sense."""
    entries = list(order.history.order_by("seq"))
    opened = next(entry for entry in entries if entry.what == "sheet opened")
    moved = [entry for entry in entries if entry.what == "moved"][-1:]
    start = mould.of(Order)[0].values[place_of(Order, "created_at")]
    return tuple(
        Told(
            _moment(entry.at - opened.at, start),
            entry.who,
            entry.what,
            canonical({key: value for key, value in entry.facts.items() if key not in OWN}),
        )
        for entry in (opened, *moved)
    )


# Facts that name what is each order's own.
OWN = frozenset({"digest", "finding", "number"})


def _moment(passed: Any, start: Moment) -> Moment:
    seconds = start.second + int(passed.total_seconds())
    return Moment(start.day + seconds // 86_400, seconds % 86_400)


def write_history(
    planned: Sequence[Planned],
    told: Sequence[tuple[Told, ...]],
    codes: Sequence[str],
    *,
    first_order: int,
    calendar: Calendar,
    say: Callable[[str], None],
) -> None:
    """Entries of all orders after the head that stands, a transaction for each portion."""
    turns = _in_turn(planned, told, calendar)
    head, _ = HistoryHead.objects.get_or_create(pk=1)
    seq, previous = head.seq, head.digest or GENESIS
    names = ["id", "seq", "order_id", "at", "who", "what", "facts", "previous", "digest"]
    for start in range(0, len(turns), PORTION):
        rows = []
        for number, which in turns[start : start + PORTION]:
            seq += 1
            one, entry = planned[number], told[planned[number].mould][which]
            digest = _digest(seq, codes[number], one, entry, calendar, previous)
            at = calendar.moment(one.day(entry.moment.day), entry.moment.second)
            facts = entry.facts if connection.vendor == "sqlite" else connection.ops.adapt_json_value(json.loads(entry.facts), None)  # fmt: skip
            rows.append((seq, seq, first_order + number, at, entry.who, entry.what, facts, previous, digest))
            previous = digest
        with transaction.atomic():
            write_rows(HistoryEntry, rows, names)
            HistoryHead.objects.filter(pk=1).update(seq=seq, digest=previous)
    say(f"{len(turns)} entries of history")


def _in_turn(
    planned: Sequence[Planned], told: Sequence[tuple[Told, ...]], calendar: Calendar
) -> Sequence[tuple[int, int]]:
    """Every entry as (order, which of its mould's), by time; at one time as they were made."""
    places = [(number, which) for number, one in enumerate(planned) for which in range(len(told[one.mould]))]
    times = np.fromiter(
        (calendar.seconds(told[planned[n].mould][w].moment, planned[n].day(told[planned[n].mould][w].moment.day)) for n, w in places),
        dtype=np.int64, count=len(places),
    )  # fmt: skip
    return _Turned(places, np.argsort(times, kind="stable"))


class _Turned(Sequence[tuple[int, int]]):
    """A list seen in another turn, without a second copy of it."""

    def __init__(self, places: list[tuple[int, int]], turn: Any) -> None:
        self._places, self._turn = places, turn

    def __len__(self) -> int:
        return len(self._places)

    def __getitem__(self, part: Any) -> Any:
        if isinstance(part, slice):
            return [self._places[place] for place in self._turn[part].tolist()]
        return self._places[int(self._turn[part])]

    def __iter__(self) -> Iterator[tuple[int, int]]:
        return (self._places[place] for place in self._turn.tolist())


def _digest(seq: int, code: str, one: Planned, entry: Told, calendar: Calendar, previous: str) -> str:
    """As `intake.history.link_digest`, with the canonical text of the facts at hand."""
    at = calendar.aware(one.day(entry.moment.day), entry.moment.second).isoformat()
    body = (
        f'{{"at":"{at}","facts":{entry.facts},"order":"{code}","seq":{seq},'
        f'"what":{json.dumps(entry.what)},"who":{json.dumps(entry.who)}}}'
    )
    return hashlib.sha256((previous + body).encode()).hexdigest()
