"""Saving the shop's own hours: each saving is a new version, the newest holds."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import IntegrityError, transaction

from intake import history
from intake.history import in_turn
from intake.house_rules import Outdated
from intake.models import Person
from intake.refusals import Refused
from shop.books.hours import countries, current_hours, region_of, regions
from shop.books.hours_maths import Day
from shop.models import ShopHours


@in_turn
def change_hours(
    *, changes: Mapping[str, Any], seen_version: int, by: Person, at: dt.datetime
) -> ShopHours | None:
    """Write the next version; None where nothing would be different.

    `changes`: `days` (seven of (open, close) or None, Monday first), `country`, `region` (code or name), `closed` (dates).
    Raises Outdated where `seen_version` is no longer the newest, Refused where no day is open or a place is unknown.
    """
    now = current_hours()
    if now.version != seen_version:
        raise Outdated(now.version)
    region = _known_place(changes["country"], changes["region"])
    if not any(changes["days"]):
        raise Refused("Open on one day of the week at least.", field="monday")
    own = tuple(sorted(changes["closed"]))
    new = (tuple(changes["days"]), changes["country"], region, own)
    if not now.guessed and new == (now.week.days, now.country, now.region, now.own):
        return None
    return _write(now.version + 1, new, by=by, at=at)


def _known_place(country: str, typed: str) -> str:
    names = dict(countries())
    if country and country not in names:
        raise Refused("No public holidays are known for that country. Leave it empty and list your own days.", field="country")  # fmt: skip
    if not typed.strip():
        return ""
    if not country:
        raise Refused("Choose the country of that region.", field="country")
    found = region_of(country, typed)
    if found is None:
        known = ", ".join(name if name == code else f"{code} ({name})" for code, name in regions(country))
        said = f"Known are: {known}." if known else "None is known there; leave it empty."
        raise Refused(f"That region of {names[country]} is not known. {said}", field="region")
    return found


def _write(
    version: int,
    new: tuple[Sequence[Day], str, str, Sequence[dt.date]],
    *,
    by: Person,
    at: dt.datetime,
) -> ShopHours:
    days, country, region, own = new
    try:
        with transaction.atomic():
            row = ShopHours.objects.create(
                version=version,
                since=at,
                changed_by=by,
                week=[None if day is None else [f"{time:%H:%M}" for time in day] for day in days],
                country=country,
                region=region,
                closed=[day.isoformat() for day in own],
            )
            history.record(
                order=None, what="hours changed", by=by.username, at=at, facts={"version": version}
            )
    except IntegrityError:
        raise Outdated(version) from None
    return row
