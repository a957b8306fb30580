"""Station 70 on the sheet: rows kept as they are ticked, and nobody signs over a blank row."""

import json
import re

import pytest

from intake.models import Order
from intake.stations import Outcome, Station
from shop.demo import steps
from shop.models import TestRow
from tests import walk

SCRIPT = {"X-Requested-With": "benchpost"}


@pytest.fixture
def order(bench, at):
    """At the test, measured again where it was bad, its soak begun long enough ago."""
    order = walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)
    steps.read(order, steps.GOOD, by=bench.technician, at=at)
    TestRow.objects.filter(run__order=order, soak_minutes__gt=0).update(soak_started_at=at)
    return order


def rows(order):
    return list(TestRow.objects.filter(run__order=order, run__signed_at__isnull=True))


def all_ok(order, **changes):
    return {f"result-{row.number}": "ok" for row in rows(order)} | changes


def post(staff, order, act, headers=None, **fields):
    given = {"version": order.version, **{name.replace("_", "-"): value for name, value in fields.items()}}
    return staff.post(f"/sheet/{order.code}/test/{act}/", given, headers=headers or {})


def page(staff, order):
    return staff.get(f"/sheet/{order.code}/").content.decode()


def test_sheet_has_every_row_the_symptom_last_and_counts_the_blank_ones(staff, order):
    text = page(staff, order)
    count = len(rows(order))
    assert f"Blank: {count} of {count} rows" in text
    titles = re.findall(r'<legend><span class="num">\d+</span> ([^<]+)', text)
    assert len(titles) == count and titles[-1].startswith("The customer&#x27;s own symptom: Nobody hears me")


def test_nobody_signs_over_a_blank_row(staff, order):
    last = rows(order)[-1].number
    given = all_ok(order)
    del given[f"result-{last}"]
    answer = post(staff, order, "passed", **given)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert f'<a href="#test_result-{last}">Row {last} is blank' in text and f'id="test_result-{last}"' in text
    assert Order.objects.get(pk=order.pk).station == Station.TEST
    assert [row.number for row in rows(order) if not row.result] == [last]


def test_nobody_signs_over_a_failed_row(staff, order):
    answer = post(staff, order, "passed", **all_ok(order, **{"result-4": "bad"}))
    assert (
        answer.status_code == 422
        and '<a href="#test_result-4">Row 4 has not passed' in answer.content.decode()
    )


def test_symptom_that_cannot_be_tested_does_not_pass(staff, order):
    last = rows(order)[-1].number
    given = all_ok(order, **{f"result-{last}": "cannot", f"reason-{last}": "No signal here"})
    answer = post(staff, order, "passed", **given)
    assert f"Row {last} has not passed" in answer.content.decode()


@pytest.mark.parametrize("outcome", ["fixed", "part fixed"])
def test_passed_sheet_is_signed_billed_and_told(staff, order, outcome):
    assert post(staff, order, "passed", **all_ok(order), outcome=outcome).status_code == 303
    order.refresh_from_db()
    assert (order.station, order.outcome) == (Station.GOODS_OUT, outcome)
    assert order.invoices.get().total == order.quotes.get().total
    assert order.letters.filter(kind="mended").count() == 1


def test_reason_is_asked_for_what_cannot_be_tested_and_the_other_rows_are_kept(staff, order):
    answer = post(staff, order, "keep", **{"result-1": "ok", "reading-1": "0.91 A", "result-2": "cannot"})
    assert answer.status_code == 422 and "Say why it cannot be tested." in answer.content.decode()
    first, second = rows(order)[:2]
    assert (first.result, first.reading, second.result) == ("ok", "0.91 A", "")


def test_rows_are_kept_by_script_one_by_one(staff, order):
    answer = post(staff, order, "keep", headers=SCRIPT, **{"result-3": "absent"})
    count = len(rows(order))
    assert answer.json() == {"kept": True, "rows": {}, "counted": f"Blank: {count - 1} of {count} rows"}
    assert rows(order)[2].result == "absent"
    bad = post(staff, order, "keep", headers=SCRIPT, **{"result-4": "cannot"})
    assert bad.status_code == 422 and "Say why" in bad.json()["error"]


def test_row_that_is_refused_holds_up_no_other_and_the_count_is_told(staff, order):
    fields = {"result-4": "cannot", "result-5": "ok", "result-6": "bad"}
    answer = post(staff, order, "keep", headers=SCRIPT, **fields)
    count, said = len(rows(order)), "Say why it cannot be tested. The customer is told."
    assert answer.status_code == 422
    assert answer.json() == {
        "kept": False,
        "rows": {"4": said},
        "counted": f"Blank: {count - 2} of {count} rows; 1 row has not passed",
        "error": f"Row 4: {said} The other rows are kept.",
    }
    assert [row.result for row in rows(order)[3:6]] == ["", "ok", "bad"]
    assert answer.json()["counted"] in page(staff, order)


def test_an_old_page_does_not_undo_what_another_wrote(staff, order):
    old = page(staff, order)
    was = dict(re.findall(r'name="(was-\d+)" value="([^"]*)"', old))
    was = {name: value.replace("&quot;", '"') for name, value in was.items()}
    assert json.loads(was["was-5"]) == ["", "", ""]
    TestRow.objects.filter(pk=rows(order)[4].pk).update(result="bad", reading="2.1 V")
    post(staff, order, "keep", **was, **{"result-6": "ok"})
    assert (rows(order)[4].result, rows(order)[4].reading, rows(order)[5].result) == ("bad", "2.1 V", "ok")


def test_failed_test_needs_words_and_goes_back_to_repair(staff, order):
    assert post(staff, order, "failed", **{"result-1": "bad"}).status_code == 422
    assert rows(order)[0].result == "bad"
    post(staff, order, "failed", note="No charge at all")
    order.refresh_from_db()
    assert order.station == Station.REPAIR
    assert order.lines.get(station=70).note == "Failed: No charge at all"
    text = page(staff, order)
    assert "Test 1 failed" in text


def test_no_fix_after_a_test_bills_only_what_was_told(staff, order):
    assert post(staff, order, "no-fix").status_code == 422
    post(staff, order, "no-fix", words="It comes back each time.")
    order.refresh_from_db()
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.NO_FIX)
    assert order.invoices.get().total == order.quotes.get().no_fix_total


def test_two_who_sign_at_once_sign_once(staff, order):
    given = all_ok(order)
    post(staff, order, "passed", **given)
    again = post(staff, order, "passed", **given)
    assert again.status_code == 409
    assert order.invoices.count() == 1


def test_unknown_result_is_refused(staff, order):
    answer = post(staff, order, "keep", **{"result-1": "perfect"})
    assert answer.status_code == 422 and "Pick one of the results." in answer.content.decode()
