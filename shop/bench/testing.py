"""Station 70: the sheet that must pass, the original symptom last."""

import datetime as dt

from intake import letters, lifecycle, wording
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import billing, decisions, stock
from quotes.models import Decision, Quote
from shop.bench import work
from shop.bench.default_tests import DEFAULT_ROWS
from shop.models import TestRow, TestRun, TestSheet

NO_PROMISE = {Decision.Choice.DATA, Decision.Choice.CLEAN}
GOOD = {TestRow.Result.OK, TestRow.Result.ABSENT, TestRow.Result.ALREADY, TestRow.Result.CANNOT}


def sheet_for(kind: str, *, at: dt.datetime) -> TestSheet:
    """The newest sheet of a device kind; the trade's usual list until the shop writes its own."""
    newest = TestSheet.objects.filter(device_kind=kind).order_by("-version").first()
    if newest is not None:
        return newest
    sheet, _ = TestSheet.objects.get_or_create(
        device_kind=kind,
        version=1,
        defaults={"since": at, "rows": DEFAULT_ROWS.get(kind, DEFAULT_ROWS["other"])},
    )
    return sheet


@in_turn
def lay_out(*, order: Order, by: Person, at: dt.datetime) -> TestRun:
    """A fresh run with blank rows; the customer's own symptom is the last row."""
    running = order.test_runs.filter(signed_at__isnull=True).first()
    if running is not None:
        return running
    sheet = sheet_for(order.device.kind, at=at)
    run = TestRun.objects.create(
        order=order, sheet=sheet, number=order.test_runs.count() + 1, started_at=at, by=by
    )
    rows = [(row["text"], row.get("must", True), False) for row in sheet.rows]
    said = ", ".join(order.symptoms) or order.words or "The fault it came for"
    rows.append((f"The customer's own symptom: {said}"[:200], True, True))
    TestRow.objects.bulk_create(
        TestRow(run=run, number=number, text=text, must=must, symptom=symptom)
        for number, (text, must, symptom) in enumerate(rows, start=1)
    )
    return run


@in_turn
def mark(*, row: TestRow, result: str, reason: str = "", reading: str = "") -> TestRow:
    """Write one row's result. Raises Refused for a missing reason or a signed run."""
    if result and result not in TestRow.Result.values:
        raise Refused("Pick one of the results.")
    if result == TestRow.Result.CANNOT and not reason.strip():
        raise Refused("Say why it cannot be tested. The customer is told.", field=f"reason-{row.number}")
    row.result, row.reason, row.reading = result, reason.strip()[:200], reading.strip()[:60]
    written = TestRow.objects.filter(pk=row.pk, run__signed_at__isnull=True).update(
        result=row.result, reason=row.reason, reading=row.reading
    )
    if not written:
        raise Refused("This test is signed. It cannot be changed.")
    return row


def blank_rows(run: TestRun) -> list[TestRow]:
    return [row for row in run.rows.all() if not row.result]


def bad_rows(run: TestRun) -> list[TestRow]:
    """Rows that stop a pass: a must that is not OK, or a symptom that is not gone. Where no repair was promised, none."""
    agreed = decisions.agreed_quote(run.order)
    if agreed is not None and agreed.decision.choice in NO_PROMISE:
        return []
    return [
        row
        for row in run.rows.all()
        if row.must and (row.result not in GOOD or (row.symptom and row.result != TestRow.Result.OK))
    ]


@in_turn
def sign_pass(
    *, order: Order, seen_version: int, by: Person, at: dt.datetime, outcome: str = Outcome.FIXED
) -> Order:
    """Sign 70: bill what was agreed, tell the customer with report and invoice.

    `outcome` is fixed, part fixed or data only; always data only where that alone was agreed.
    """
    if outcome not in (Outcome.FIXED, Outcome.PART_FIXED, Outcome.DATA_ONLY):
        raise Refused("Say whether it is fixed, part fixed, or data only.", field="outcome")
    lifecycle.must_stand_at(order, Station.TEST)
    run = _open_run(order)
    _may_pass(run)
    quote = decisions.agreed_quote(order)
    if quote is None:
        raise Refused("No bill without an agreed quote.")
    if quote.decision.choice == Decision.Choice.DATA:
        outcome = Outcome.DATA_ONLY
    work.close_for(order, by=by, at=at)
    # What was put aside and not fitted is free again: the work is done.
    stock.release_all(order=order, why="not needed", by=staff(by), at=at)
    TestRun.objects.filter(pk=run.pk).update(signed_at=at, passed=True, by=by)
    lifecycle.advance(
        order,
        to=Station.GOODS_OUT,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=_signed_words(run, quote),
        minutes=work.minutes_of(order, "test"),
        outcome=Outcome(outcome),
    )
    _bill_and_tell(order, run, quote, by, at)
    return order


def _signed_words(run: TestRun, quote: Quote) -> str:
    bad = sum(row.result not in GOOD for row in run.rows.all())
    if bad and quote.decision.choice in NO_PROMISE:
        return f"{wording.count(bad, 'row')} of the test sheet not passed; no repair was promised."
    return f"All {run.rows.count()} rows of the test sheet passed."


def _bill_and_tell(order: Order, run: TestRun, quote: Quote, by: Person, at: dt.datetime) -> None:
    invoice = billing.bill_agreed(order=order, quote=quote, by=by, at=at)
    report = letters.paper(
        order=order,
        maker="repair_report",
        ref=run.pk,
        title="Repair report",
        file_name=f"{order.code}-report.pdf",
        at=at,
    )
    letters.tell(
        order,
        kind="mended",
        ref=run.pk,
        at=at,
        papers=[report, *billing.papers_of(invoice)],
        quote=quote,
        invoice=invoice,
        owed=billing.balance(order),
    )


def _may_pass(run: TestRun) -> None:
    if blank := blank_rows(run):
        raise Refused(f"Row {blank[0].number} is blank: {blank[0].text}. Nobody signs over a blank row.")
    if bad := bad_rows(run):
        raise Refused(
            f"Row {bad[0].number} has not passed: {bad[0].text}. Send it back to repair, or to no fix."
        )


@in_turn
def sign_fail(*, order: Order, seen_version: int, by: Person, at: dt.datetime, note: str) -> Order:
    """The test failed: back to 60; the next test is a new run."""
    lifecycle.must_stand_at(order, Station.TEST)
    run = _open_run(order)
    if not note.strip():
        raise Refused("Say what failed.", field="note")
    work.close_for(order, by=by, at=at)
    TestRun.objects.filter(pk=run.pk).update(signed_at=at, passed=False, by=by)
    return lifecycle.advance(
        order,
        to=Station.REPAIR,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=f"Failed: {note.strip()}",
        minutes=work.minutes_of(order, "test"),
    )


def _open_run(order: Order) -> TestRun:
    run = order.test_runs.filter(signed_at__isnull=True).first()
    if run is None:
        raise Refused("There is no test sheet open on this order.")
    return run
