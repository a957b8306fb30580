"""The rows of a test sheet: what the list says, what was bad is asked again, the customer's own symptom last."""

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django.db.models import Max

from intake.models import Order
from quotes import decisions
from quotes.explained import not_explained
from quotes.list_words import differ, fold
from quotes.models import Decision, Reading
from quotes.reading_text import RED, UNITS
from quotes.reading_words import amount
from shop.bench.default_tests import DATA, usual
from shop.bench.test_limits import OUT, prefix_for
from shop.models import TestRow, TestRun, TestSheet

NO_PROMISE = {Decision.Choice.DATA, Decision.Choice.CLEAN}
GOOD = {TestRow.Result.OK, TestRow.Result.ABSENT, TestRow.Result.ALREADY, TestRow.Result.CANNOT}
_TEXT = 200


def sheet_for(kind: str, *, at: dt.datetime) -> TestSheet:
    """The newest sheet of a device kind; the trade's usual list until the shop writes its own."""
    newest = TestSheet.objects.filter(device_kind=kind).order_by("-version").first()
    if newest is not None:
        return newest
    rows, soak = usual(kind)
    sheet, _ = TestSheet.objects.get_or_create(
        device_kind=kind, version=1, defaults={"since": at, "rows": rows, "soak_minutes": soak}
    )
    return sheet


def choice_of(order: Order) -> str:
    """What was agreed: mend, data, clean; "" where nothing is."""
    agreed = decisions.agreed_quote(order)
    return agreed.decision.choice if agreed is not None else ""


def kind_of(order: Order) -> str:
    """Which list this order is tested by: that of its device, or the one for saved data."""
    return DATA if choice_of(order) == Decision.Choice.DATA else order.device.kind


def rows_for(run: TestRun) -> list[TestRow]:
    """The blank rows of a fresh run, numbered from 1; not written yet."""
    rows = [_of_the_list(row) for row in run.sheet.rows]
    if choice_of(run.order) != Decision.Choice.DATA:
        rows += [_again(reading) for reading in bad_before(run.order)]
        rows += _soak(run.sheet)
    missing = not_explained(run.order)
    rows += [TestRow(text=f"Not explained by the finding: {one}"[:_TEXT], must=False) for one in missing]
    said = ", ".join(one for one in run.order.symptoms if one not in missing)
    said = said or run.order.words or "The fault it came for"
    rows.append(TestRow(text=f"The customer's own symptom: {said}"[:_TEXT], symptom=True))
    for number, row in enumerate(rows, start=1):
        row.run, row.number = run, number
    return rows


def _of_the_list(row: dict[str, Any]) -> TestRow:
    mode = str(row.get("mode", ""))
    return TestRow(
        text=str(row["text"])[:_TEXT],
        must=bool(row.get("must", True)),
        unlocked=bool(row.get("unlocked", False)),
        mode=mode,
        polarity=str(row.get("polarity", "")) or (RED if mode == "diode" else ""),
        low=_number(row.get("low")),
        high=_number(row.get("high")),
        unit=UNITS.get(mode, ""),
        soak_minutes=int(row.get("soak") or 0),
    )


def _number(text: object) -> Decimal | None:
    return Decimal(str(text)) if text not in (None, "") else None


def _soak(sheet: TestSheet) -> list[TestRow]:
    minutes = sheet.soak_minutes
    text = f"Left on for {minutes} minutes, and still in order"
    return [TestRow(text=text, soak_minutes=minutes)] if minutes else []


def _again(before: Reading) -> TestRow:
    how = f"{before.mode}, {before.polarity}" if before.polarity else before.mode
    was = amount(before.value, before.special, before.prefix, before.unit)
    return TestRow(
        text=f"Measure again: {before.point}, {how}; it was {was}"[:_TEXT],
        before=before,
        point=before.point,
        mode=before.mode,
        polarity=before.polarity,
        low=before.low,
        high=before.high,
        unit=before.unit,
    )


def bad_before(order: Order) -> list[Reading]:
    """Standing readings before the repair that were not in order: the newest of each board, point, mode and polarity."""
    newest: dict[tuple[str, ...], Reading] = {}
    for row in order.readings.filter(superseded_by__isnull=True, phase="before"):
        newest[(fold(row.board), row.point.casefold(), row.mode, row.polarity)] = row
    return [row for row in newest.values() if row.verdict in OUT]


def same_place(one: Reading, other: Reading) -> bool:
    """Whether two readings of an order were taken at one point, the same way; a board that is not named is any board."""
    ways = [(row.point.casefold(), row.mode, row.polarity) for row in (one, other)]
    return ways[0] == ways[1] and not differ(fold(one.board), fold(other.board))


def limits_prefix(row: TestRow) -> str:
    """The prefix in which a row's limits are said and a bare number is read; "" where it has none."""
    if row.low is None and row.high is None:
        return ""
    return row.before.prefix if row.before else prefix_for(row.low, row.high)


def standing_after(row: TestRow) -> Reading | None:
    """The newest reading after the repair at the place of a row that is asked again.

    What was measured for an earlier test that failed proves nothing of the work since, nor does another board's.
    """
    earlier = TestRun.objects.filter(order__test_runs=row.run_id, number__lt=row.run.number)
    failed = earlier.aggregate(last=Max("signed_at"))["last"]
    found = Reading.objects.filter(
        order__test_runs=row.run_id,
        phase="after",
        superseded_by__isnull=True,
        point__iexact=row.point,
        mode=row.mode,
        polarity=row.polarity,
    )
    if failed is not None:
        found = found.filter(at__gte=failed).exclude(
            pk__in=TestRow.objects.filter(run__in=earlier, taken__isnull=False).values("taken")
        )
    board = fold(row.before.board) if row.before else ""
    here = [one for one in found.order_by("at", "id") if not differ(board, fold(one.board))]
    return here[-1] if here else None


def blank_rows(run: TestRun) -> list[TestRow]:
    return [row for row in run.rows.all() if not row.result]


def bad_rows(run: TestRun) -> list[TestRow]:
    """Rows that stop a pass: a must that is not OK, or a symptom that is not gone. Where no repair was promised, none."""
    if choice_of(run.order) in NO_PROMISE:
        return []
    return [row for row in run.rows.all() if row.must and not _passes(row)]


def _passes(row: TestRow) -> bool:
    return row.result == TestRow.Result.OK if row.symptom else row.result in GOOD


def rows_with(run: TestRun, result: str) -> Iterator[tuple[str, str]]:
    """Text and reason of the rows with one result, such as what could not be tested and why."""
    return ((row.text, row.reason) for row in run.rows.all() if row.result == result)
