"""What the pages of the price book read: every row with what it sells for now, and why."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake.house import house
from intake.models import HistoryEntry
from quotes.models import Part, Rates, Remedy, Surcharge, TradeTier
from quotes.policies import policy_of
from quotes.price_lists.columns import LISTS
from quotes.price_lists.keeping import TAKEN_IN
from quotes.price_lists.taking_in import Look, name_of
from quotes.price_preview import Price, price_of_part, price_of_remedy, tier_sample
from quotes.pricing import Policy
from shop.office.price_words import less, said

PARTS_A_PAGE = 100
MOST_TAKEN_IN, ROWS_OF_A_LIST = 20, 20
MOST_CHANGES, CHANGES_A_PAGE = 200, 50
CHANGED = ("part", "remedy", "surcharge", "trade tier")
TOLD = ["rates changed", TAKEN_IN, *(f"{what} {deed}" for what in CHANGED for deed in ("added", "changed"))]


@dataclass(frozen=True)
class Selling:
    """A row of the book and its price; `amount` None where no rule makes one."""

    row: Any
    amount: Decimal | None
    why: str


@dataclass(frozen=True)
class FieldSaid:
    """One field of a row that changes, in words."""

    head: str
    before: str
    after: str


@dataclass(frozen=True)
class ChangeSaid:
    """One row of a list that is new or changes; `number` is its row in the file."""

    number: int
    key: str
    new: bool
    fields: list[FieldSaid]


def overview() -> dict[str, Any]:
    """How many rows each part of the book holds, and the lists taken in last."""
    return {
        "rates": Rates.current(),
        "lists": LISTS,
        "parts": Part.objects.filter(active=True).count(),
        "remedies": Remedy.objects.filter(active=True).count(),
        "surcharges": Surcharge.objects.filter(active=True).count(),
        "tiers": TradeTier.objects.filter(active=True).count(),
        "taken": [
            {"entry": entry, "list": name_of(entry), **entry.facts}
            for entry in HistoryEntry.objects.filter(what=TAKEN_IN, facts__piece=1).order_by("-seq")[
                :MOST_TAKEN_IN
            ]
        ],
    }


def changes(*, before: str = "") -> dict[str, Any]:
    """One page of what was changed in the book, newest first; `before` is the entry to go on from."""
    rows = HistoryEntry.objects.filter(order=None, what__in=TOLD).order_by("-seq")
    if before.isdecimal():
        rows = rows.filter(seq__lt=int(before[:18]))
    found = list(rows[: CHANGES_A_PAGE + 1])
    page = [{"entry": entry, "rows": told_fields(entry)} for entry in found[:CHANGES_A_PAGE]]
    more = found[CHANGES_A_PAGE - 1].seq if len(found) > CHANGES_A_PAGE else None
    return {"changes": page, "more": more, "first": not before}


def told_fields(entry: HistoryEntry) -> list[FieldSaid]:
    """What one entry changed, old and new in words; of a list that was taken in, its first rows."""
    facts = entry.facts
    if entry.what == TAKEN_IN:
        kind = LISTS[facts["list"]]
        return [
            FieldSaid(f"{row['key']}: {kind.column(name).head}", said(old), said(new))
            for row in facts["rows"][:ROWS_OF_A_LIST]
            for name, (old, new) in row["changes"].items()
            if name != kind.key_column
        ]
    if "after" in facts:
        return [
            FieldSaid(name.replace("_", " ").capitalize(), said(facts["before"][name]), said(value))
            for name, value in facts["after"].items()
        ]
    return [
        FieldSaid(name.replace("_", " ").capitalize(), said(old), said(new))
        for name, (old, new) in facts.get("changes", {}).items()
    ]


def parts(*, after: str = "") -> dict[str, Any]:
    """One page of the parts in use by number; `after` is the number to go on from."""
    rows = list(
        Part.objects.filter(active=True, number__gt=after[:30]).order_by("number")[: PARTS_A_PAGE + 1]
    )
    policy = _policy()
    page = [_selling(row, price_of_part(row, policy)) for row in rows[:PARTS_A_PAGE]]
    return {
        "parts": page,
        "after": page[-1].row.number if len(rows) > PARTS_A_PAGE else "",
        "first": not after,
    }


def part_price(part: Part) -> Price:
    return price_of_part(part, _policy())


def remedies() -> list[Selling]:
    """All remedies, those offered first."""
    policy = _policy()
    return [_selling(row, price_of_remedy(row, policy)) for row in Remedy.objects.order_by("-active", "name")]


def remedy_price(remedy: Remedy) -> Price:
    return price_of_remedy(remedy, _policy())


def tiers() -> list[dict[str, Any]]:
    """All trade tiers with their factors in words and what an hour by the rate comes to."""
    policy = _policy()
    return [
        {
            "row": row,
            "labour": less(row.labour_factor),
            "parts": less(row.parts_factor),
            "hour": tier_sample(row, policy),
        }
        for row in TradeTier.objects.order_by("-active", "name")
    ]


def _policy() -> Policy:
    return policy_of(Rates.current(), house().currency)


def _selling(row: Any, price: Price) -> Selling:
    return Selling(row, price.amount, price.why)


def changes_said(look: Look) -> list[ChangeSaid]:
    """The rows of a list that are new or change, in words, at most `MOST_CHANGES`."""
    return [
        ChangeSaid(
            row.number,
            row.key,
            row.pk is None,
            [
                FieldSaid(look.kind.column(name).head, said(before), said(after))
                for name, (before, after) in row.changes.items()
                if row.pk is not None or name != look.kind.key_column
            ],
        )
        for row in look.diff.rows[:MOST_CHANGES]
    ]
