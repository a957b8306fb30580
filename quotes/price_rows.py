"""Changes of the rows that quotes copy from: remedies, surcharges, trade tiers. A sent quote keeps what it said."""

import datetime as dt
from typing import Any, TypeVar

from django.db.models import Model

from intake import history
from intake.models import Person
from quotes.models import Remedy, Surcharge, TradeTier
from quotes.price_book import plain
from quotes.refusals import Refused

Row = TypeVar("Row", Remedy, Surcharge, TradeTier)


@history.in_turn
def save_remedy(
    *, remedy: Remedy | None, changes: dict[str, Any], by: Person, at: dt.datetime
) -> Remedy | None:
    """Add a remedy, or change one; None where nothing is different. Raises Refused for a name that is taken, or a double offered."""
    if remedy is not None and remedy.merged_into_id is not None and changes.get("active"):
        raise Refused("It counts under another remedy. Take that back first.", field="active")
    return _save(Remedy, remedy, "remedy", changes, by, at)


@history.in_turn
def save_surcharge(
    *, surcharge: Surcharge | None, changes: dict[str, Any], by: Person, at: dt.datetime
) -> Surcharge | None:
    """Add or change something that comes on top. Raises Refused for a name that is taken, or a sum and a share at once."""
    row = surcharge or Surcharge()
    amount, percent = (changes.get(name, getattr(row, name)) for name in ("amount", "percent"))
    if (amount is None) == (percent is None):
        raise Refused("Give a sum or a share, one of the two.", field="amount")
    return _save(Surcharge, surcharge, "surcharge", changes, by, at)


@history.in_turn
def save_tier(
    *, tier: TradeTier | None, changes: dict[str, Any], by: Person, at: dt.datetime
) -> TradeTier | None:
    """Add or change the prices of a kind of trade customer. Raises Refused for a name that is taken."""
    return _save(TradeTier, tier, "trade tier", changes, by, at)


def differences(row: Model, changes: dict[str, Any]) -> dict[str, list[Any]]:
    """What of `changes` is not so in the row yet: name to [before, after], as the history keeps it."""
    return {
        name: [plain(getattr(row, name)), plain(value)]
        for name, value in changes.items()
        if getattr(row, name) != value
    }


def _save(
    model: type[Row], row: Row | None, called: str, changes: dict[str, Any], by: Person, at: dt.datetime
) -> Row | None:
    if row is not None:
        row = model.objects.select_for_update().get(pk=row.pk)
    new = row is None
    row = row if row is not None else model()
    name = changes.get("name", row.name)
    if model.objects.filter(name__iexact=name).exclude(pk=row.pk).exists():
        raise Refused(f"There is a {called} of that name already.", field="name")
    changed = differences(row, changes)
    if not new and not changed:
        return None
    for key, value in changes.items():
        setattr(row, key, value)
    row.save()
    history.record(
        order=None,
        what=f"{called} {'added' if new else 'changed'}",
        by=by.username,
        at=at,
        facts={"row": row.pk, "name": row.name, "changes": changed},
    )
    return row
