"""The register: of every column that holds words, what it is, what for, how long, what happens at its end, who sees it."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from django.apps import apps
from django.db import models

from shop.keeping.kinds import BY_NAME
from shop.keeping.register_rows import ROWS

WORDY = (models.CharField, models.TextField, models.JSONField, models.FileField, models.BinaryField)
PERSONAL = frozenset({"person", "device", "words"})
CLASSES = {
    "person": "Who somebody is",
    "device": "Of the device",
    "words": "Free words",
    "money": "Papers of money",
    "history": "The history",
    "staff": "Of who works here",
    "secret": "Sealed or digests",
    "none": "Nothing personal",
}
HEADINGS = ("Row", "Column", "Class", "Kept as", "At its end", "Who sees it", "What for")


@dataclass(frozen=True)
class Column:
    """One column. `kind` is "" where time never clears it."""

    row: str
    name: str
    cls: str
    kind: str
    end: str
    seen_by: str
    purpose: str

    @property
    def is_cleared(self) -> bool:
        """Whether it is emptied when its person is erased."""
        return self.end in ("blank", "erased")

    @property
    def kept_as(self) -> str:
        return BY_NAME[self.kind].title if self.kind else "never cleared by time"


@cache
def columns() -> tuple[Column, ...]:
    """The whole register, in its order."""
    found = []
    for line in ROWS.strip().splitlines():
        row, names, cls, kind, end, seen_by, purpose = (part.strip() for part in line.split("|"))
        for name in names.split(","):
            found.append(Column(row, name.strip(), cls, kind.strip("-"), end, seen_by, purpose))
    return tuple(found)


def of_row(row: str, *, classes: Iterable[str] = PERSONAL) -> list[Column]:
    """The columns of one model (its label) in these classes."""
    wanted = set(classes)
    return [column for column in columns() if column.row == row and column.cls in wanted]


def of_kind(kind: str) -> dict[str, list[str]]:
    """By model, the columns that are emptied when a kind's time is over."""
    found: dict[str, list[str]] = {}
    for column in columns():
        if column.kind == kind and column.is_cleared:
            found.setdefault(column.row, []).append(column.name)
    return found


def cleared() -> dict[str, list[Column]]:
    """By model, everything that goes when a person is erased, bills' names and addresses apart."""
    found: dict[str, list[Column]] = {}
    for column in columns():
        if column.is_cleared and column.kind not in ("money", "codes"):
            found.setdefault(column.row, []).append(column)
    return found


def unclassified() -> list[str]:
    """Columns with words that stand in no line of the register. The house's tests keep this empty."""
    known = {(column.row, column.name) for column in columns()}
    return sorted(
        f"{model._meta.label}.{field.name}"
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if isinstance(field, WORDY) and (model._meta.label, field.name) not in known
    )


def unknown() -> list[str]:
    """Lines of the register that name no column of today."""
    there = {
        (model._meta.label, field.name)
        for model in apps.get_models()
        for field in model._meta.concrete_fields
    }
    return sorted(f"{c.row}.{c.name}" for c in columns() if (c.row, c.name) not in there)


def as_table() -> list[tuple[str, ...]]:
    """The register as rows of text under HEADINGS."""
    return [
        (c.row.partition(".")[2], c.name, CLASSES[c.cls], c.kept_as, c.end, c.seen_by, c.purpose)
        for c in columns()
    ]
