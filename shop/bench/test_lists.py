"""The list that must pass for a kind of device: a change is a new version, and signed tests keep theirs."""

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError, transaction

from intake import history
from intake.house_rules import Outdated
from intake.models import Device, Person
from intake.refusals import Refused
from shop.bench import second_eyes
from shop.bench.default_tests import DATA, usual
from shop.bench.list_changes import changes_between
from shop.models import TestSheet

KINDS = [*Device.Kind.choices, (DATA, "Saved data")]


@dataclass(frozen=True)
class InForce:
    """What holds now. Version 0 is the usual list, before the shop wrote its own."""

    version: int
    rows: list[dict[str, Any]]
    soak_minutes: int
    second_eyes: bool = False


@dataclass(frozen=True)
class Version:
    """One version with what it changed against the one before, in sentences."""

    sheet: TestSheet
    changes: list[str]
    runs: int


def newest(kind: str) -> InForce:
    sheet = TestSheet.objects.filter(device_kind=kind).order_by("-version").first()
    if sheet is None:
        return InForce(0, *usual(kind))
    return InForce(sheet.version, sheet.rows, sheet.soak_minutes, sheet.second_eyes)


def versions(kind: str) -> list[Version]:
    """Every version of a kind, the newest first."""
    rows, soak = usual(kind)
    before = (rows, soak, False)
    found = []
    for sheet in TestSheet.objects.filter(device_kind=kind).order_by("version").prefetch_related("runs"):
        now = (sheet.rows, sheet.soak_minutes, sheet.second_eyes)
        found.append(Version(sheet, changes_between(before, now), len(sheet.runs.all())))
        before = now
    return found[::-1]


def change_test_list(
    *,
    kind: str,
    rows: list[dict[str, Any]],
    soak_minutes: int,
    seen_version: int,
    by: Person,
    at: dt.datetime,
    second: bool = False,
) -> TestSheet | None:
    """Write the next version; None where nothing would be different. Raises Outdated, and Refused for an empty list."""
    now = newest(kind)
    if now.version != seen_version:
        raise Outdated(now.version)
    if not any(row.get("must") for row in rows):
        raise Refused("A list needs one row at least that must pass.")
    if second and not now.second_eyes and not second_eyes.can_be_had():
        raise Refused(second_eyes.ALONE, field="second_eyes")
    if (rows, soak_minutes, second) == (now.rows, now.soak_minutes, now.second_eyes):
        return None
    try:
        with transaction.atomic():
            return _write(
                by,
                device_kind=kind,
                version=now.version + 1,
                since=at,
                rows=rows,
                soak_minutes=soak_minutes,
                second_eyes=second,
            )
    except IntegrityError:
        raise Outdated(now.version + 1) from None


def _write(by: Person, **columns: Any) -> TestSheet:
    sheet = TestSheet.objects.create(**columns)
    history.record(
        order=None,
        what="test list changed",
        by=by.username,
        at=sheet.since,
        facts={"kind": sheet.device_kind, "version": sheet.version, "rows": len(sheet.rows)},
    )
    return sheet
