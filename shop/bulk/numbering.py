"""Numbers of documents and entries, given out by time over all orders, without a gap."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from quotes.models import Entry, Invoice, NumberSeries
from quotes.numbers import PREFIXES
from shop.bulk.calendar import Calendar
from shop.bulk.moulds import Moment, Mould, place_of
from shop.bulk.plan import Planned

KINDS = ("invoice", "credit")


class Numbers:
    """The numbers of each order, known before the first is written."""

    def __init__(self, planned: Sequence[Planned], moulds: Sequence[Mould], calendar: Calendar) -> None:
        entries = [[row.values[place_of(Entry, "at")] for row in mould.of(Entry)] for mould in moulds]
        self._entries = _Series("entry", planned, entries, calendar)
        self._moulds, self._planned = moulds, planned
        self._documents = {
            kind: _Series(kind, planned, [_issued(mould, kind) for mould in moulds], calendar)
            for kind in KINDS
        }

    def of(self, number: int) -> tuple[list[str], list[int]]:
        """Printed numbers of an order's documents, and the numbers of its entries, in the order of its mould."""
        rest = {kind: iter(self._documents[kind].of(number)) for kind in KINDS}
        rows = self._moulds[self._planned[number].mould].of(Invoice)
        printed = [f"{PREFIXES[row.plain['kind']]}-{next(rest[row.plain['kind']]):05d}" for row in rows]
        return printed, self._entries.of(number)

    def taken(self) -> None:
        """Let the series go on after what was given out."""
        for series in (self._entries, *self._documents.values()):
            NumberSeries.objects.update_or_create(kind=series.kind, defaults={"next": series.following})


def _issued(mould: Mould, kind: str) -> list[Moment]:
    return [
        row.values[place_of(Invoice, "issued_at")] for row in mould.of(Invoice) if row.plain["kind"] == kind
    ]


class _Series:
    def __init__(
        self, kind: str, planned: Sequence[Planned], moments: Sequence[Sequence[Moment]], calendar: Calendar
    ) -> None:
        self.kind = kind
        known = NumberSeries.objects.filter(kind=kind).first()
        first = known.next if known else 1
        counts = np.fromiter((len(moments[one.mould]) for one in planned), dtype=np.int64, count=len(planned))
        self._since = np.concatenate([[0], np.cumsum(counts)])
        total = int(self._since[-1])
        times = np.fromiter(
            (calendar.seconds(moment, one.day(moment.day)) for one in planned for moment in moments[one.mould]),
            dtype=np.int64, count=total,
        )  # fmt: skip
        self._numbers: Any = np.empty(total, dtype=np.int64)
        self._numbers[np.argsort(times, kind="stable")] = np.arange(first, first + total)
        self.following = first + total

    def of(self, number: int) -> list[int]:
        found: list[int] = self._numbers[self._since[number] : self._since[number + 1]].tolist()
        return found
