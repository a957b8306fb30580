"""A list that was read, held beside the rows that are there: what is new, what changes, what cannot be."""

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from intake.history import canonical
from quotes.models import Part, Remedy, Surcharge
from quotes.price_book import plain
from quotes.price_lists.cells import value_text
from quotes.price_lists.columns import PriceList
from quotes.price_lists.rows import Fault, ListRead, ListRow, minutes_faults

Row = Part | Remedy | Surcharge
MODELS: dict[str, type[Part] | type[Remedy] | type[Surcharge]] = {
    "parts": Part,
    "remedies": Remedy,
    "surcharges": Surcharge,
}


@dataclass(frozen=True)
class RowChange:
    """One row of the file that is new (`pk` None) or changes; `changes` is field to (before, after)."""

    number: int
    key: str
    pk: int | None
    changes: dict[str, tuple[Any, Any]]


@dataclass
class Diff:
    """What taking the list in would do. `untouched`: rows of the shop that the file does not name."""

    new: list[RowChange] = field(default_factory=list)
    changed: list[RowChange] = field(default_factory=list)
    same: int = 0
    untouched: int = 0
    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def rows(self) -> list[RowChange]:
        """New and changed rows in the order of the file."""
        return sorted([*self.new, *self.changed], key=lambda row: row.number)

    @property
    def digest(self) -> str:
        """Of exactly these changes; another one means that something moved since it was looked at."""
        said = [
            [row.pk, row.key, {name: [plain(a), plain(b)] for name, (a, b) in sorted(row.changes.items())}]
            for row in self.rows
        ]
        return hashlib.sha256(canonical(said).encode()).hexdigest()


def compare(read: ListRead, kind: PriceList, currency: str) -> Diff:
    """Two queries. A row that cannot be taken in is in `faults` with its sentence."""
    diff = Diff(faults=list(read.faults), notes=list(read.notes))
    there = _there(kind)
    for given in read.rows:
        row = there.get(given.key) or there.get(given.key.casefold())
        changes = _changes(row, given, kind, currency)
        faults = _faults(row, given, kind)
        if faults:
            diff.faults += [Fault(given.number, kind.column(key).head, said) for key, said in faults]
        elif row is None:
            diff.new.append(RowChange(given.number, given.key, None, changes))
        elif changes:
            diff.changed.append(RowChange(given.number, str(getattr(row, kind.key_column)), row.pk, changes))
        else:
            diff.same += 1
    named = {given.key.casefold() for given in read.rows}
    diff.untouched = sum(
        1 for pk, key in {row.pk: key for key, row in there.items()}.items() if key.casefold() not in named
    )
    diff.faults.sort(key=lambda fault: fault.row)
    return diff


def model_of(kind: PriceList) -> type[Any]:
    """The rows the list is of."""
    return MODELS[kind.key]


def _there(kind: PriceList) -> dict[str, Any]:
    """The rows by their key as it is spelled, and by its small letters for those who spell it otherwise."""
    rows = list(MODELS[kind.key].objects.all())
    found = {getattr(row, kind.key_column).casefold(): row for row in rows}
    return found | {getattr(row, kind.key_column): row for row in rows}


def _changes(row: Row | None, given: ListRow, kind: PriceList, currency: str) -> dict[str, tuple[Any, Any]]:
    """What is different. A key that is only spelled otherwise, and text that only differs in blanks, is the same."""
    start = row if row is not None else MODELS[kind.key]()
    found = {}
    for key, value in given.values.items():
        before = getattr(start, key)
        if row is not None and key == kind.key_column:
            continue
        if row is None and key == "number":
            value = value.upper()
        column = kind.column(key)
        if isinstance(before, str):
            same = " ".join(value_text(before, column, currency).split()) == value
        elif isinstance(before, list):
            same = [line.strip() for line in before if line.strip()] == value
        else:
            same = before == value
        if not same or (row is None and key == kind.key_column):
            found[key] = (before, value)
    return found


def _faults(row: Row | None, given: ListRow, kind: PriceList) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    if row is None:
        missing = [key for key in kind.new_needs if not given.values.get(key)]
        found = [
            (
                key,
                f"{given.key} is not there yet. A new {kind.one} needs its {kind.column(key).head.lower()}.",
            )
            for key in missing
        ]
    checks: dict[str, Callable[[Any, dict[str, Any]], list[tuple[str, str]]]] = {
        "parts": _part_faults,
        "remedies": _remedy_faults,
        "surcharges": _surcharge_faults,
    }
    return found or checks[kind.key](row, given.values)


def _part_faults(row: Part | None, values: dict[str, Any]) -> list[tuple[str, str]]:
    found = []
    if row is None:
        if not re.fullmatch(r"[A-Z0-9][A-Z0-9./_-]*", values["number"].upper()):
            found.append(
                ("number", "Letters, digits, points, strokes and dashes only, so that it can be scanned.")
            )
        return found
    if "condition" in values and values["condition"] != row.condition:
        found.append(("condition", "The condition of a part is set when it is written down, not later."))
    if row.on_hand and values.get("unit_cost", row.unit_cost) != row.unit_cost:
        paid = f"{row.unit_cost.normalize():f}"
        said = f"{row.on_hand} lie in the bin, so their cost is what was paid for them, {paid}."
        found.append(("unit_cost", f"{said} Receive new ones at the new cost."))
    if row.on_hand and values.get("active") is False:
        found.append(("active", f"{row.on_hand} still lie in the bin. Count them out first."))
    return found


def _remedy_faults(row: Remedy | None, values: dict[str, Any]) -> list[tuple[str, str]]:
    merged = [
        values.get(name, getattr(row, name, None)) for name in ("minutes", "minutes_low", "minutes_high")
    ]
    found = minutes_faults(*merged)
    if row is not None and row.merged_into_id is not None and values.get("active"):
        found.append(("active", "It counts under another remedy. Take that back first."))
    # A fault stands beside a column the file has.
    return [(key if key in values else "minutes", said) for key, said in found]


def _surcharge_faults(row: Surcharge | None, values: dict[str, Any]) -> list[tuple[str, str]]:
    amount, percent = (values.get(name, getattr(row, name, None)) for name in ("amount", "percent"))
    if (amount is None) == (percent is None):
        return [("amount", "Give a sum or a percent, one of the two.")]
    return []
