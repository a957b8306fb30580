"""Changes of what work costs: rates as new versions, remedies as rows that quotes copy from."""

import datetime as dt
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.forms.models import model_to_dict

from intake import history
from intake.house_rules import NOT_CARRIED, Outdated
from intake.models import Person
from quotes.models import Rates, Remedy
from quotes.policies import policy_of
from quotes.pricing import LineInput, PricingError, price
from quotes.refusals import Refused

SAMPLE_MINUTES, SAMPLE_COST = Decimal(60), Decimal("5.00")


def change_rates(*, changes: dict[str, Any], seen_version: int, by: Person, at: dt.datetime) -> Rates | None:
    """Write the next version of the rates; None where nothing would be different. Raises Outdated, Refused."""
    now = Rates.current()
    if now.version != seen_version:
        raise Outdated(now.version)
    changed = sorted(name for name, value in changes.items() if getattr(now, name) != value)
    if not changed:
        return None
    kept = {key: value for key, value in model_to_dict(now).items() if key not in NOT_CARRIED}
    new = Rates(version=seen_version + 1, since=at, changed_by=by, **{**kept, **changes})
    try:
        with transaction.atomic():
            new.save(force_insert=True)
            history.record(
                order=None,
                what="rates changed",
                by=by.username,
                at=at,
                facts={"version": new.version, "fields": changed},
            )
    except IntegrityError:
        raise Outdated(seen_version + 1) from None
    return new


def sample_totals(changes: dict[str, Any], *, currency: str) -> tuple[Decimal | None, Decimal | None]:
    """What a quote of 60 minutes, a part of cost 5.00 and the return post comes to now, and with `changes`; None where
    the rates make no price for it."""
    now = Rates.current()
    then = Rates(**{**{k: v for k, v in model_to_dict(now).items() if k not in NOT_CARRIED}, **changes})
    return _sample(now, currency), _sample(then, currency)


def _sample(rates: Rates, currency: str) -> Decimal | None:
    lines = [
        LineInput("labour", "Labour", minutes=SAMPLE_MINUTES),
        LineInput("part", "Part", unit_cost=SAMPLE_COST),
        LineInput("post", "Return post"),
    ]
    try:
        return price(lines, policy_of(rates, currency)).total
    except PricingError:
        return None


@transaction.atomic
def save_remedy(*, remedy: Remedy | None, changes: dict[str, Any], by: Person, at: dt.datetime) -> Remedy:
    """Add a remedy, or change one; quotes that were sent keep what they said. Raises Refused for a name that is taken."""
    row = remedy or Remedy()
    for name, value in changes.items():
        setattr(row, name, value)
    if Remedy.objects.filter(name=row.name).exclude(pk=row.pk).exists():
        raise Refused("There is a remedy of that name already.", field="name")
    row.save()
    history.record(
        order=None,
        what="remedy changed" if remedy else "remedy added",
        by=by.username,
        at=at,
        facts={
            "remedy": row.pk,
            "name": row.name,
            "minutes": row.minutes,
            "price": str(row.flat_price or ""),
        },
    )
    return row
