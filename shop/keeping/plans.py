"""The plan: how long each kind is kept, as the owner set it. A change is a new version."""

import datetime as dt
from collections.abc import Mapping

from intake import history
from intake.history import in_turn
from intake.house_rules import Outdated
from intake.models import Person
from quotes.refusals import Refused
from shop.keeping.kinds import LEAST, MOST, SETTABLE
from shop.models import RetentionPlan


def current() -> RetentionPlan:
    """The plan in force; before the owner saved one, the usual days (written nowhere)."""
    return RetentionPlan.objects.order_by("-version").first() or RetentionPlan(version=0, days={}, basis={})


@in_turn
def change_plan(
    *,
    days: Mapping[str, int | None],
    basis: Mapping[str, str],
    seen_version: int,
    by: Person,
    at: dt.datetime,
) -> RetentionPlan | None:
    """Write the next version; None where nothing is different. Raises Refused."""
    if not by.is_owner:
        raise Refused("Only the owner says how long things are kept.")
    old = current()
    if old.version != seen_version:
        raise Outdated(old.version)
    names = {kind.name for kind in SETTABLE}
    for name, count in days.items():
        if name not in names:
            raise Refused("There is no such kind.")
        if count is not None and not LEAST <= count <= MOST:
            raise Refused(f"From {LEAST} to {MOST} days, or nothing to keep it for good.", field=name)
    if days.get("money") is not None and not basis.get("money", "").strip():
        raise Refused("Name the law or the reason by which bills are kept that long.", field="basis")
    told = {name: text.strip()[:300] for name, text in basis.items() if text.strip()}
    if old.version and (dict(old.days), dict(old.basis)) == (dict(days), told):
        return None
    new = RetentionPlan.objects.create(
        version=old.version + 1, since=at, changed_by=by, days=dict(days), basis=told
    )
    history.record(
        order=None,
        what="keeping changed",
        by=by.username,
        at=at,
        facts={"version": new.version, "days": dict(days)},
    )
    return new
