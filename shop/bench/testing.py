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
from shop.bench import second_eyes, work
from shop.bench.marking import mark, mark_without_code, measure_again
from shop.bench.test_limits import OUT
from shop.bench.test_rows import (
    GOOD,
    NO_PROMISE,
    bad_rows,
    blank_rows,
    kind_of,
    rows_for,
    rows_with,
    sheet_for,
    standing_after,
)
from shop.branches import copies
from shop.models import TestRow, TestRun

__all__ = [
    "GOOD",
    "bad_rows",
    "blank_rows",
    "lay_out",
    "mark",
    "mark_without_code",
    "measure_again",
    "sheet_for",
    "sign_fail",
    "sign_pass",
]


@in_turn
def lay_out(*, order: Order, by: Person, at: dt.datetime) -> TestRun:
    """A fresh run with blank rows; what was bad is asked again, and the customer's own symptom is the last row."""
    running = order.test_runs.filter(signed_at__isnull=True).first()
    if running is not None:
        return running
    sheet = sheet_for(kind_of(order), at=at)
    run = TestRun.objects.create(
        order=order, sheet=sheet, number=order.test_runs.count() + 1, started_at=at, by=by
    )
    TestRow.objects.bulk_create(rows_for(run))
    return run


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
    _may_pass(run, by)
    quote = decisions.agreed_quote(order)
    if quote is None:
        raise Refused("No bill without an agreed quote.")
    if quote.decision.choice == Decision.Choice.DATA:
        outcome = Outcome.DATA_ONLY
    if outcome == Outcome.DATA_ONLY:
        copies.must_be_written(order)
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
    results = [row.result for row in run.rows.all()]
    bad = sum(result not in GOOD for result in results)
    if bad and quote.decision.choice in NO_PROMISE:
        return f"{wording.count(bad, 'row')} of the test sheet not passed; no repair was promised."
    if bad:
        return f"Every must of the test sheet passed; {wording.count(bad, 'row')} not OK, and the report says which."
    if cannot := results.count(TestRow.Result.CANNOT):
        return f"The test sheet passed; {wording.count(cannot, 'row')} could not be tested, and the report says why."
    return f"All {len(results)} rows of the test sheet passed."


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
        not_tested=list(rows_with(run, TestRow.Result.CANNOT)),
        bad_already=list(rows_with(run, TestRow.Result.ALREADY)),
    )


def _may_pass(run: TestRun, by: Person) -> None:
    if blank := blank_rows(run):
        first = blank[0]
        said = f"Row {first.number} is blank: {first.text}. Nobody signs over a blank row."
        raise Refused(said, field=f"result-{first.number}")
    if bad := bad_rows(run):
        said = f"Row {bad[0].number} has not passed: {bad[0].text}. Send it back to repair, or to no fix."
        raise Refused(said, field=f"result-{bad[0].number}")
    for row in run.rows.filter(before__isnull=False, result=TestRow.Result.OK):
        _tie_to_the_newest(row)
    second_eyes.must_be_had(run, by=by)


def _tie_to_the_newest(row: TestRow) -> None:
    """A reading taken at the same place after the row was marked is the one that counts."""
    newest = standing_after(row)
    if newest is None or newest.pk == row.taken_id:
        return
    if newest.verdict in OUT and not row.reason:
        raise Refused(f"Row {row.number} was measured again since, and is {newest.verdict}. Mark it anew.")
    TestRow.objects.filter(pk=row.pk).update(taken=newest)


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
