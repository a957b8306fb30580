"""What was chosen decides the bench: its steps and parts, how it ends, its bill, its warranty, its deposit."""

from decimal import Decimal

import pytest

from intake.models import Order
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import draft_lines, drafts, payments
from quotes.models import Part
from shop.bench import repair, testing, work
from shop.demo import steps
from shop.models import TestRow, Warranty
from tests import walk

ON = {"data": {"on": True}, "clean": {"on": True, "warranty_days": 14}}


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.QUOTE, by=bench.technician, at=at)


def agree(order, bench, at, choice, **more):
    draft = drafts.draft_of(order, at=at)
    drafts.save_draft(
        draft=draft, lines=steps.lines_of(["Fit jumper wire"], ["WIRE-002"]), words="", promise=None, at=at
    )
    for name, price in (("data", "60"), ("clean", "40")):
        line = {"kind": "labour", "text": f"Work of {name}", "price": price, "choice": name}
        draft = draft_lines.add(order=order, seen=drafts.draft_of(order, at=at).version, line=line, at=at)
    draft_lines.offer(order=order, seen=draft.version, choices=ON, at=at)
    lines = drafts.draft_of(order, at=at).lines
    steps.quote(order, by=bench.technician, at=at, lines=lines)
    steps.answer(order, at=at, choice=choice)
    return Order.objects.get(pk=order.pk)


def at_test(order, bench, at):
    steps.read(order, steps.GOOD, by=bench.technician, at=at)
    work.write_down(order=order, kind="repair", minutes=20, by=bench.technician, at=at)
    repair.finish(order=order, seen_version=order.version, by=bench.technician, at=at, anyway="Elsewhere")
    return Order.objects.get(pk=order.pk)


def mark_all(order, result, symptom):
    for row in TestRow.objects.filter(run__order=order):
        testing.mark(row=row, result=symptom if row.symptom else result)


def sign(order, bench, at):
    testing.sign_pass(order=order, seen_version=order.version, by=bench.technician, at=at)
    return Order.objects.get(pk=order.pk)


def test_data_alone_has_no_steps_of_the_repair_and_ends_as_data_only(order, bench, at):
    order = agree(order, bench, at, "data")
    assert repair.lay_out_steps(order) == []
    order = at_test(order, bench, at)
    mark_all(order, "ok", "bad")
    with pytest.raises(Refused, match="what was copied"):
        sign(order, bench, at)
    steps.copy_data(order, by=bench.technician, at=at)
    order = sign(order, bench, at)
    assert order.outcome == Outcome.DATA_ONLY
    assert order.invoices.get().lines.first().text == "Work of data"
    assert "no repair was promised" in order.lines.get(station=Station.TEST).note


def test_blank_row_stops_data_alone_too(order, bench, at):
    order = at_test(agree(order, bench, at, "data"), bench, at)
    with pytest.raises(Refused, match="is blank"):
        sign(order, bench, at)


def test_repair_is_not_passed_with_its_symptom_still_there(order, bench, at):
    order = at_test(agree(order, bench, at, "mend"), bench, at)
    mark_all(order, "ok", "bad")
    with pytest.raises(Refused, match="has not passed"):
        sign(order, bench, at)


def test_cleaning_has_the_warranty_that_was_said_with_it(order, bench, at):
    order = at_test(agree(order, bench, at, "clean"), bench, at)
    mark_all(order, "ok", "ok")
    order = sign(order, bench, at)
    steps.pay(order, by=bench.technician, at=at)
    steps.send(order, by=bench.technician, at=at)
    steps.deliver(order, by=bench.technician, at=at)
    warranty = Warranty.objects.get(order=order)
    assert (warranty.ends - warranty.starts).days == 14


def test_work_that_waits_for_its_deposit_is_not_signed(order, bench, at):
    Part.objects.filter(number="WIRE-002").update(special=True)
    drafts.save_draft(
        draft=drafts.draft_of(order, at=at),
        lines=steps.lines_of(["Fit jumper wire"], ["WIRE-002"]),
        words="",
        promise=None,
        at=at,
        deposit=Decimal(20),
    )
    steps.quote(order, by=bench.technician, at=at)
    steps.answer(order, at=at)
    order.refresh_from_db()
    with pytest.raises(Refused, match="The deposit is still to come"):
        at_test(order, bench, at)
    payments.record_payment(
        order=order,
        kind="card",
        amount=Decimal(20),
        key="deposit",
        by=bench.technician,
        at=at,
        purpose="deposit",
    )
    assert at_test(order, bench, at).station == Station.TEST
