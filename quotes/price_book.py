"""Changes of the rates: always a new version, and what it means for customers is put on the letterhead with it."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.forms.models import model_to_dict

from intake import history
from intake.house_rules import NOT_CARRIED, Outdated, change_letterhead
from intake.models import Letterhead, Person
from quotes.fee_words import diagnosis_words
from quotes.models import Rates
from quotes.policies import policy_of
from quotes.pricing import choices, price
from quotes.refusals import Refused


@history.in_turn
def change_rates(*, changes: dict[str, Any], seen_version: int, by: Person, at: dt.datetime) -> Rates | None:
    """Write the next version of the rates; None where nothing would be different. Raises Outdated.

    A fee for looking is said on the letterhead from the same moment, so that no customer sends without having read it.
    """
    now = Rates.current()
    if now.version != seen_version:
        raise Outdated(now.version)
    changed = changed_fields(now, changes)
    if not changed:
        return None
    new = rates_with(changes)
    new.version, new.since, new.changed_by = seen_version + 1, at, by
    try:
        with transaction.atomic():
            new.save(force_insert=True)
    except IntegrityError:
        raise Outdated(seen_version + 1) from None
    history.record(
        order=None,
        what="rates changed",
        by=by.username,
        at=at,
        facts={
            "version": new.version,
            "fields": changed,
            "before": {name: plain(getattr(now, name)) for name in changed},
            "after": {name: plain(getattr(new, name)) for name in changed},
        },
    )
    _say_the_fee(new, by=by, at=at)
    return new


def use_again(*, version: int, seen_version: int, by: Person, at: dt.datetime) -> Rates | None:
    """Write a new version with the values of an old one; None where they are those in force.

    Raises Outdated, and Refused where there is no such version.
    """
    old = Rates.objects.filter(version=version).first()
    if old is None:
        raise Refused("There is no such version of the rates.")
    return change_rates(changes=values_of(old), seen_version=seen_version, by=by, at=at)


def values_of(rates: Rates) -> dict[str, Any]:
    """All that a version says, without which version it is."""
    return {name: value for name, value in model_to_dict(rates).items() if name not in NOT_CARRIED}


def rates_with(changes: dict[str, Any]) -> Rates:
    """The rates in force with `changes` in them; a row that is not saved, for looking."""
    now = Rates.current()
    return Rates(
        version=now.version, since=now.since, changed_by=now.changed_by, **{**values_of(now), **changes}
    )


def changed_fields(now: Rates, changes: dict[str, Any]) -> list[str]:
    """The names of what would be different, in the order of the alphabet."""
    return sorted(name for name, value in changes.items() if getattr(now, name) != value)


def plain(value: Any) -> Any:
    """A value as the history keeps it: sums as text, without noughts nobody typed."""
    return f"{value.normalize():f}" if isinstance(value, Decimal) else value


def fee_to_pay(rates: Rates, currency: str) -> Decimal:
    """What a customer pays who declines, tax included where it does not depend on the place. Raises PricingError."""
    policy = replace(policy_of(rates, currency), minimum_charge=Decimal(0))
    if rates.tax_rules and not rates.tax_inclusive:
        policy = replace(policy, tax_profile=None, tax_rates={})
    # What recycling comes to is the fee alone, as every quote will say it.
    return choices(price([], policy), policy).recycle.total


def _say_the_fee(rates: Rates, *, by: Person, at: dt.datetime) -> None:
    head = Letterhead.current()
    words = diagnosis_words(
        fee_to_pay(rates, head.currency),
        rates.fee_waived_above,
        currency=head.currency,
        locale=head.locale,
        tax_open=bool(rates.tax_rules) and not rates.tax_inclusive,
    )
    if words != head.diagnosis_words:
        change_letterhead(changes={"diagnosis_words": words}, seen_version=head.version, by=by, at=at)
