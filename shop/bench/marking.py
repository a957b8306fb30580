"""Marking the rows of a test sheet: results with their reasons, readings typed into a row."""

import datetime as dt
from typing import Any

from intake.history import in_turn
from intake.models import Person
from intake.refusals import Refused
from quotes import diagnosis
from quotes.diagnosis import Measured
from quotes.models import Reading
from quotes.reading_text import ReadingError
from quotes.reading_words import amount
from shop.bench.soaks import MINUTE, soak_of
from shop.bench.test_limits import OUT, Judged, judge, way_of
from shop.bench.test_rows import limits_prefix, standing_after
from shop.models import TestRow, TestRun

OK, CANNOT = TestRow.Result.OK, TestRow.Result.CANNOT
WITHOUT_CODE = "Without your code"
SIGNED = "This test is signed. It cannot be changed."


@in_turn
def mark(
    *,
    row: TestRow,
    result: str,
    reason: str = "",
    reading: str = "",
    by: Person | None = None,
    at: dt.datetime | None = None,
) -> TestRow:
    """Write one row's result; "" with a typed reading takes what the row's limits propose.

    `by` becomes the tester, and a second look given before falls. `at` is the moment at the bench, by which a soak is
    judged; without it the row was done before and is only written down. Raises Refused with the field `result-n`,
    `reading-n` or `reason-n`.
    """
    if result and result not in TestRow.Result.values:
        raise Refused("Pick one of the results.")
    judged = judged_by_limits(row, reading)
    result = result or (judged.result if judged else "")
    reason = reason.strip()[:200] or _known_reason(row, result)
    if result == CANNOT and not reason:
        raise Refused("Say why it cannot be tested. The customer is told.", field=f"reason-{row.number}")
    _in_order(row, result)
    # What is kept of a value carries its unit: "1" alone would be read anew by whoever comes after.
    kept = judged.shown if judged else reading.strip()[:60]
    columns: dict[str, Any] = {"result": result, "reason": reason, "reading": kept}
    if result == OK:
        _may_be_ok(row, judged, reason)
        columns |= _reading_for(row, reason) | _soaked(row, reason, at)
    _write(row, by, columns)
    return row


def judged_by_limits(row: TestRow, reading: str) -> Judged | None:
    """The typed value of a row with a mode; None where nothing is typed or the row is not measured."""
    if not reading.strip() or not row.mode:
        return None
    before = row.before
    try:
        return judge(
            reading,
            mode=row.mode,
            polarity=row.polarity,
            low=row.low,
            high=row.high,
            expected_special=_expected_special(before) if before else "",
            expected_from=before.expected_from if before else "",
            prefix=limits_prefix(row),
        )
    except ReadingError as fault:
        raise Refused(f"Row {row.number}: {fault}", field=f"reading-{row.number}") from fault


def _expected_special(before: Reading) -> str:
    """OL where a good board is over limit; older readings say it only in words."""
    return before.expected_special or ("OL" if before.expected_from.startswith("OL expected") else "")


def _known_reason(row: TestRow, result: str) -> str:
    asks = row.unlocked and row.run.order.lock_wish == "test without"
    return WITHOUT_CODE if result == CANNOT and asks else ""


def _in_order(row: TestRow, result: str) -> None:
    """The symptom comes last; a row emptied after it empties it too."""
    others = TestRow.objects.filter(run=row.run_id).exclude(pk=row.pk)
    if row.symptom and result:
        blank = others.filter(result="").first()
        if blank is not None:
            raise Refused(
                f"The customer's own symptom is tested last. Row {blank.number} is still blank: {blank.text}.",
                field=f"result-{row.number}",
            )
    if not row.symptom and not result:
        others.filter(symptom=True, run__signed_at__isnull=True).update(result="")


def _may_be_ok(row: TestRow, judged: Judged | None, reason: str) -> None:
    if judged is not None and judged.word in OUT and not reason:
        raise Refused(
            f"{judged.shown} is {judged.word}: {judged.why} Say why it is OK all the same.",
            field=f"reason-{row.number}",
        )


def _reading_for(row: TestRow, reason: str) -> dict[str, Any]:
    """The standing reading after the repair, for a row that asks for one."""
    if row.before_id is None:
        return {}
    taken = standing_after(row)
    if taken is None and not reason:
        raise Refused(
            f"Measure {row.point} again and type the value here, or say why not.",
            field=f"reading-{row.number}",
        )
    if taken is not None and taken.verdict in OUT and not reason:
        raise Refused(
            f"{row.point} was measured as {taken.verdict}. Say why it is OK all the same.",
            field=f"reason-{row.number}",
        )
    return {"taken": taken, **({"reading": shown(taken)} if taken else {})}


def shown(reading: Reading) -> str:
    return amount(reading.value, reading.special, reading.prefix, reading.unit)


def _soaked(row: TestRow, reason: str, at: dt.datetime | None) -> dict[str, Any]:
    if not row.soak_minutes or at is None:
        return {}
    fresh = TestRow.objects.get(pk=row.pk)
    soak = soak_of(fresh, at)
    if soak.state != "over" and not reason:
        said = {
            "not started": "The soak was not started.",
            "running": f"The soak is not over: {soak.minutes_left} of {row.soak_minutes} minutes left.",
            "cut short": "The soak was cut short.",
        }[soak.state]
        raise Refused(f"{said} Say why it is OK all the same.", field=f"reason-{row.number}")
    if fresh.soak_started_at is None or fresh.soak_ended_at is not None:
        return {}
    return {"soak_ended_at": min(at, fresh.soak_started_at + row.soak_minutes * MINUTE)}


def _write(row: TestRow, by: Person | None, columns: dict[str, Any]) -> None:
    if not TestRow.objects.filter(pk=row.pk, run__signed_at__isnull=True).update(**columns):
        raise Refused(SIGNED)
    for name, value in columns.items():
        setattr(row, name, value)
    if by is not None:
        TestRun.objects.filter(pk=row.run_id).update(by=by, second_by=None, second_at=None)


@in_turn
def measure_again(*, row: TestRow, typed: str, by: Person, at: dt.datetime) -> TestRow:
    """Take the value typed into a row that was bad before, as a reading after the repair at the same point and mode.

    What is on the row already is written once. Marking stays another deed; the verdict only proposes. Raises Refused.
    """
    fresh = TestRow.objects.select_related("before", "taken", "run__order").get(pk=row.pk)
    judged = judged_by_limits(fresh, typed)
    if fresh.before is None or judged is None:
        raise Refused("Type the value alone, such as .452 or OL.", field=f"reading-{row.number}")
    if fresh.run.signed_at is not None:
        raise Refused(SIGNED)
    if fresh.taken is None or fresh.taken.superseded_by_id or shown(fresh.taken) != judged.shown:
        fresh.taken = _take(fresh, typed, judged, by, at)
    _write(fresh, by, {"taken": fresh.taken, "reading": judged.shown})
    return fresh


def _take(row: TestRow, typed: str, judged: Judged, by: Person, at: dt.datetime) -> Reading:
    before, order = row.before, row.run.order
    assert before is not None  # noqa: S101 -- for the type checker; the caller has looked
    read, way = judged.read, way_of(row.mode, row.polarity)
    measured = Measured(
        typed=f"{row.point} {way} {' '.join(typed.split())}"[:120],
        point=before.point,
        mode=read.mode,
        value=read.value,
        special=read.special or "",
        prefix=read.prefix,
        unit=read.unit,
        polarity=before.polarity,
        state=before.state,
        meter=before.meter,
        board=before.board,
        low=before.low,
        high=before.high,
        expected_from=before.expected_from,
        verdict=judged.word,
        verdict_why=judged.why[:200],
        phase="after",
        revision=before.revision,
        side=before.side,
        supply_volts=before.supply_volts,
        supply_amps=before.supply_amps,
        expected_special=before.expected_special,
        expected_n=before.expected_n,
        proposed=judged.word,
    )
    many = Reading.objects.filter(key__startswith=f"test:{row.pk}:").count()
    return diagnosis.take_reading(
        order=order,
        measured=measured,
        key=f"test:{row.pk}:{many + 1}",
        by=by,
        at=at,
        instead_of=standing_after(row),
    )


@in_turn
def mark_without_code(*, run: TestRun, by: Person, at: dt.datetime) -> int:
    """Every blank row that needs the code: cannot test, without your code. Returns how many. Only on that wish."""
    if run.order.lock_wish != "test without":
        raise Refused("The customer did not ask for a test without the code.")
    rows = list(run.rows.filter(unlocked=True, result="").select_related("run__order", "before"))
    for row in rows:
        mark(row=row, result=CANNOT, reason=WITHOUT_CODE, reading=row.reading, by=by, at=at)
    return len(rows)
