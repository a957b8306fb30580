"""The list that must pass for a kind of device: a change is a new version, and signed tests keep theirs."""

import datetime as dt
from typing import Any

from django.db import IntegrityError, transaction

from intake import history
from intake.house_rules import Outdated
from intake.models import Person
from intake.refusals import Refused
from shop.bench.default_tests import DEFAULT_ROWS
from shop.models import TestSheet


def newest(kind: str) -> tuple[int, list[dict[str, Any]], int]:
    """Version, rows and soak minutes in force; version 0 is the usual list, before the shop wrote its own."""
    sheet = TestSheet.objects.filter(device_kind=kind).order_by("-version").first()
    if sheet is None:
        return 0, DEFAULT_ROWS.get(kind, DEFAULT_ROWS["other"]), TestSheet().soak_minutes
    return sheet.version, sheet.rows, sheet.soak_minutes


def change_test_list(
    *,
    kind: str,
    rows: list[dict[str, Any]],
    soak_minutes: int,
    seen_version: int,
    by: Person,
    at: dt.datetime,
) -> TestSheet | None:
    """Write the next version; None where nothing would be different. Raises Outdated, and Refused for an empty list."""
    version, now, soak = newest(kind)
    if version != seen_version:
        raise Outdated(version)
    if not any(row.get("must") for row in rows):
        raise Refused("A list needs one row at least that must pass.")
    if rows == now and soak == soak_minutes:
        return None
    try:
        with transaction.atomic():
            sheet = TestSheet.objects.create(
                device_kind=kind, version=version + 1, since=at, rows=rows, soak_minutes=soak_minutes
            )
            history.record(
                order=None,
                what="test list changed",
                by=by.username,
                at=at,
                facts={"kind": kind, "version": sheet.version, "rows": len(rows)},
            )
    except IntegrityError:
        raise Outdated(version + 1) from None
    return sheet
