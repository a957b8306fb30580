"""Station 70: nobody signs over a blank row; the symptom is last; a pass bills what was agreed."""

import pytest

from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import stock
from shop.bench import repair, testing
from shop.bench.default_tests import DEFAULT_ROWS
from shop.demo import steps
from shop.models import TestSheet
from tests import walk


@pytest.fixture
def order(bench, at):
    """At the test, and measured again at the point that was bad."""
    order = walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)
    steps.read(order, steps.GOOD, by=bench.technician, at=at)
    return order


@pytest.fixture
def run(order):
    return order.test_runs.get()


def mark_all(run, result="ok", but=()):
    for row in run.rows.all():
        if row.number not in but:
            testing.mark(row=row, result=result)


def sign(order, bench, at, **changes):
    return testing.sign_pass(order=order, seen_version=order.version, by=bench.technician, at=at, **changes)


@pytest.mark.parametrize("kind", ["phone", "tablet", "laptop", "board", "other"])
def test_sheet_has_the_rows_of_its_kind_and_the_symptom_last(bench, at, kind):
    order = walk.to(walk.request(at=at, kind=kind), Station.TEST, by=bench.technician, at=at)
    rows = list(order.test_runs.get().rows.all())
    listed = [row["text"] for row in DEFAULT_ROWS[kind]]
    assert [row.text for row in rows[: len(listed)]] == listed
    again, soak = rows[len(listed) : -1]
    assert again.text == "Measure again: Microphone bias, diode, red on ground; it was OL"
    assert soak.soak_minutes == (60 if kind == "laptop" else 30)
    assert rows[-1].symptom and rows[-1].must and "Nobody hears me" in rows[-1].text
    assert [row.symptom for row in rows].count(True) == 1


def test_a_newer_version_of_the_shops_own_sheet_is_used(bench, at):
    for version, text in ((1, "Old"), (2, "New")):
        TestSheet.objects.create(
            device_kind="tablet", version=version, since=at, rows=[{"text": text, "must": True}]
        )
    order = walk.to(walk.request(at=at, kind="tablet"), Station.TEST, by=bench.technician, at=at)
    assert order.test_runs.get().rows.first().text == "New"


def test_every_blank_row_bars_the_signature(bench, order, run, at):
    count = run.rows.count()
    for number in (1, count // 2, count):
        mark_all(run)
        run.rows.filter(number=number).update(result="")
        with pytest.raises(Refused, match=f"Row {number} is blank"):
            sign(order, bench, at)
    assert order.station == Station.TEST and not order.invoices.exists()


@pytest.mark.parametrize("result", ["bad", "absent", "already", "cannot"])
def test_symptom_passes_only_when_it_is_gone(bench, order, run, at, result):
    last = run.rows.last()
    mark_all(run, but=[last.number])
    testing.mark(row=last, result=result, reason="No signal here")
    with pytest.raises(Refused, match=f"Row {last.number} has not passed"):
        sign(order, bench, at)


@pytest.mark.parametrize("result", ["absent", "already", "cannot"])
def test_a_row_that_is_no_fault_of_the_repair_passes(bench, order, run, at, result):
    mark_all(run)
    testing.mark(row=run.rows.first(), result=result, reason="No cable of this kind")
    sign(order, bench, at)
    assert order.station == Station.GOODS_OUT


def test_row_that_may_fail_does_not_bar_the_signature_and_one_that_must_does(bench, order, run, at):
    mark_all(run)
    may = run.rows.filter(must=False).first()
    testing.mark(row=may, result="bad")
    must = run.rows.filter(must=True, symptom=False).first()
    testing.mark(row=must, result="bad")
    with pytest.raises(Refused, match=f"Row {must.number} has not passed"):
        sign(order, bench, at)
    testing.mark(row=must, result="ok")
    sign(order, bench, at)


def test_cannot_test_needs_its_reason(run):
    with pytest.raises(Refused) as refused:
        testing.mark(row=run.rows.get(number=3), result="cannot", reason="  ")
    assert refused.value.field == "reason-3"


def test_signed_sheet_is_not_changed_any_more(bench, order, run, at):
    mark_all(run)
    sign(order, bench, at)
    row = order.test_runs.get().rows.first()
    with pytest.raises(Refused, match="cannot be changed"):
        testing.mark(row=row, result="bad")


def test_pass_bills_what_was_agreed_and_frees_what_was_not_needed(bench, at):
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    repair.finish(
        order=order,
        seen_version=order.version,
        by=bench.technician,
        at=at,
        anyway="It works without the part",
    )
    assert stock.set_aside(order) != {}
    steps.read(order, steps.GOOD, by=bench.technician, at=at)
    mark_all(order.test_runs.get())
    sign(order, bench, at)
    assert stock.set_aside(order) == {}
    assert order.invoices.get().total == order.quotes.get().total
    letter = order.letters.get(kind="mended")
    assert {paper.maker for paper in letter.papers.all()} == {"repair_report", "invoice"}


def test_outcome_is_one_of_three(bench, order, run, at):
    mark_all(run)
    with pytest.raises(Refused) as refused:
        sign(order, bench, at, outcome=Outcome.NO_FIX)
    assert refused.value.field == "outcome"


def test_failed_test_is_kept_and_the_next_is_a_new_run(bench, order, run, at):
    who = {"by": bench.technician, "at": at}
    with pytest.raises(Refused, match="Say what failed"):
        testing.sign_fail(order=order, seen_version=order.version, note="", **who)
    testing.sign_fail(order=order, seen_version=order.version, note="Still silent", **who)
    assert order.station == Station.REPAIR and not order.invoices.exists()
    walk.mend(order, by=bench.technician, at=at)
    runs = list(order.test_runs.all())
    assert [(one.number, one.passed) for one in runs] == [(1, False), (2, None)]
    assert not runs[1].rows.exclude(result="").exists()
