"""Lists out of the price book and in again: kept under their digest, looked at, then all of it or nothing.

The pieces on hand are never touched. Rows the file does not name stay as they are.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from intake import history
from intake.file_store import store
from intake.models import HistoryEntry, Letterhead, Person
from quotes import price_preview
from quotes.models import Rates
from quotes.price_book import plain
from quotes.price_lists.columns import LISTS, PriceList
from quotes.price_lists.comparing import Diff, RowChange, compare, model_of
from quotes.price_lists.files import FileError, read_file, write_csv, write_xlsx
from quotes.price_lists.keeping import FOLDER, TAKEN_IN, kept_file
from quotes.price_lists.rows import read_table
from quotes.refusals import Refused

A_PIECE = 200
MOVED = "The price book changed since you looked. Look again; nothing was taken in."


@dataclass(frozen=True)
class Look:
    """A kept file and what taking it in would do; `preview` None where there is a fault or nothing changes."""

    kind: PriceList
    digest: str
    diff: Diff
    preview: price_preview.Preview | None


def list_out(kind: PriceList, suffix: str) -> bytes:
    """All rows of a list, those out of use as well; `suffix` is '.csv' or '.xlsx'."""
    currency = Letterhead.current().currency
    write = write_xlsx if suffix == ".xlsx" else write_csv
    return write(kind, _rows(kind), currency)


def look(*, kind: PriceList, digest: str) -> Look:
    """What taking the kept file in would do. Saves nothing. Raises Refused, field "file"."""
    diff = _diff(kind, digest)
    return Look(kind, digest, diff, None if diff.faults or not diff.rows else _preview(kind, diff))


@history.in_turn
def take_in(*, kind: PriceList, digest: str, seen: str, by: Person, at: dt.datetime) -> int | None:
    """Take the kept file in, all rows or none; how many are new or changed, None where nothing is different.

    `seen` is the digest of the changes the person looked at: other changes are refused. A second press finds nothing
    to do. What stood there before is kept as a list of its own, so that it can be taken in again. Raises Refused.
    """
    diff = _diff(kind, digest)
    if diff.faults:
        raise Refused("The file has faults. Nothing was taken in.", field="file")
    if not diff.rows:
        return None
    if diff.digest != seen:
        raise Refused(MOVED, field="file")
    before = store(_way_back(kind, diff), folder=FOLDER, suffix=".csv")
    _apply(kind, diff.rows)
    _tell(kind, diff, digest, before, by=by, at=at)
    return len(diff.rows)


def name_of(entry: HistoryEntry) -> str:
    """Which list an entry of the history tells of."""
    kind = LISTS.get(str(entry.facts.get("list", "")))
    return kind.name if kind is not None else ""


def _rows(kind: PriceList) -> list[list[Any]]:
    rows = model_of(kind).objects.order_by(kind.key_column)
    return [[getattr(row, column.key) for column in kind.columns] for row in rows]


def _diff(kind: PriceList, digest: str) -> Diff:
    currency = Letterhead.current().currency
    try:
        table = read_file(kept_file(digest))
    except FileError as fault:
        raise Refused(str(fault), field="file") from fault
    return compare(read_table(table, kind, currency), kind, currency)


def _way_back(kind: PriceList, diff: Diff) -> bytes:
    """A list of the rows and columns that change, as they were; rows that are new come out of use with it."""
    names = {name for row in diff.changed for name in row.changes} | {kind.key_column}
    names |= {"active", *kind.new_needs} if diff.new else set()
    if kind.key == "surcharges":
        names |= {"amount", "percent"}
    columns = tuple(column for column in kind.columns if column.key in names)
    old = model_of(kind).objects.in_bulk([row.pk for row in diff.changed])
    rows = [[getattr(old[row.pk], column.key) for column in columns] for row in diff.changed]
    fresh = model_of(kind)()
    for row in diff.new:
        after = {name: value for name, (_, value) in row.changes.items()} | {"active": False}
        rows.append([after.get(column.key, getattr(fresh, column.key)) for column in columns])
    return write_csv(replace(kind, columns=columns), rows, Letterhead.current().currency)


def _preview(kind: PriceList, diff: Diff) -> price_preview.Preview:
    """Both books from the same rules. What open drafts use is changed for a moment, priced there, and rolled back."""
    rates, currency = Rates.current(), Letterhead.current().currency
    before = price_preview.book_of(rates, currency)
    used = {
        line.get(kind.one)
        for draft in price_preview.open_drafts()
        for line in draft.lines
        if line.get(kind.one)
    }
    totals = before.drafts
    if touched := [row for row in diff.changed if row.pk in used]:
        with transaction.atomic():
            _apply(kind, touched)
            totals = price_preview.draft_totals(rates)
            transaction.set_rollback(True)
    rows = [] if kind.key == "surcharges" else _rows_with(kind, diff.rows)
    return price_preview.compared(
        before, price_preview.book_with(before, rows, rates, currency, drafts=totals)
    )


def _apply(kind: PriceList, changes: Iterable[RowChange]) -> None:
    """Only the fields that change are written, so that no counter is."""
    model, changes = model_of(kind), list(changes)
    by_fields: dict[tuple[str, ...], list[Any]] = defaultdict(list)
    for change, row in zip(changes, _rows_with(kind, changes), strict=True):
        by_fields[() if change.pk is None else tuple(sorted(change.changes))].append(row)
    model.objects.bulk_create(by_fields.pop((), []), batch_size=200)
    for fields, rows in by_fields.items():
        model.objects.bulk_update(rows, fields, batch_size=200)


def _rows_with(kind: PriceList, changes: Iterable[RowChange]) -> list[Any]:
    """The rows with their changes in them, not saved, in the same order."""
    changes = list(changes)
    old = model_of(kind).objects.in_bulk([change.pk for change in changes if change.pk is not None])
    rows = []
    for change in changes:
        row = model_of(kind)() if change.pk is None else old[change.pk]
        for name, (_, value) in change.changes.items():
            setattr(row, name, value)
        rows.append(row)
    return rows


def _tell(kind: PriceList, diff: Diff, digest: str, before: str, *, by: Person, at: dt.datetime) -> None:
    """The history of a long list is told in pieces, each with its rows, old and new."""
    rows = diff.rows
    pieces = [rows[start : start + A_PIECE] for start in range(0, len(rows), A_PIECE)]
    for number, piece in enumerate(pieces, start=1):
        history.record(
            order=None,
            what=TAKEN_IN,
            by=by.username,
            at=at,
            facts={
                "list": kind.key,
                "file": digest,
                "before": before,
                "piece": number,
                "pieces": len(pieces),
                "new": len(diff.new),
                "changed": len(diff.changed),
                "rows": [
                    {
                        "key": row.key,
                        "changes": {name: [plain(a), plain(b)] for name, (a, b) in row.changes.items()},
                    }
                    for row in piece
                ],
            },
        )
