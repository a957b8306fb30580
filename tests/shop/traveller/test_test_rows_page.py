"""Station 70 on the page: values typed into rows, soaks by the clock, one press without the code, the second look."""

import datetime as dt

import pytest
import time_machine
from django.test import Client

from intake.stations import Station
from quotes.models import Reading
from shop.models import TestRow, TestRun, TestSheet
from tests import walk

SCRIPT = {"X-Requested-With": "benchpost"}


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)


def rows_of(order):
    return TestRow.objects.filter(run__order=order)


def post(staff, order, act, headers=None, **fields):
    given = {"version": order.version, **{name.replace("_", "-"): value for name, value in fields.items()}}
    return staff.post(f"/sheet/{order.code}/test/{act}/", given, headers=headers or {})


def page(staff, order):
    return staff.get(f"/sheet/{order.code}/").content.decode()


def test_value_alone_is_kept_without_script_and_proposes_the_result(staff, order):
    row = rows_of(order).get(before__isnull=False)
    assert post(staff, order, "keep", **{f"reading-{row.number}": ".452"}).status_code == 303
    row.refresh_from_db()
    assert (row.result, row.reading, row.taken.verdict) == ("ok", "0.452 V", "ok")
    assert "After: 0.452 V, ok." in page(staff, order)


def test_half_a_value_kept_by_script_while_it_is_typed_is_no_reading(staff, order):
    row = rows_of(order).get(before__isnull=False)
    answer = post(staff, order, "keep", headers=SCRIPT, **{f"reading-{row.number}": ".4"})
    assert answer.json()["kept"] is True
    assert not Reading.objects.filter(phase="after").exists()


def test_value_typed_to_its_end_is_said_as_it_was_understood(staff, order):
    row = rows_of(order).get(before__isnull=False)
    said = post(staff, order, "reading", headers=SCRIPT, row=row.number, typed=".452").json()
    assert said == {
        "said": "After: 0.452 V, ok.", "result": "ok", "reading": "0.452 V", "was": '["ok", "0.452 V", ""]',
    }  # fmt: skip
    wrong = post(staff, order, "reading", row=row.number, typed="boost .4")
    assert wrong.status_code == 422 and "Type the value alone" in wrong.json()["error"]
    assert post(staff, order, "reading", row="99", typed=".4").status_code == 409
    unmeasured = rows_of(order).filter(mode="").first()
    assert post(staff, order, "reading", row=unmeasured.number, typed="4").status_code == 409


def test_value_that_is_none_stays_in_its_field_with_a_sentence(staff, order):
    row = rows_of(order).get(before__isnull=False)
    answer = post(staff, order, "keep", **{f"reading-{row.number}": "about half", "result-2": "ok"})
    text = answer.content.decode()
    assert answer.status_code == 422 and 'value="about half"' in text and "Type the value alone" in text
    assert rows_of(order).get(number=2).result == "ok"


def test_symptom_ticked_too_early_says_which_row_is_blank(staff, order):
    last = rows_of(order).last()
    answer = post(staff, order, "keep", **{f"result-{last.number}": "ok"})
    assert answer.status_code == 422 and "tested last. Row 1 is still blank" in answer.content.decode()


def test_soak_survives_a_restart_and_is_marked_when_its_time_is_up(bench, staff, order):
    row = rows_of(order).get(soak_minutes=30)
    start = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)
    with time_machine.travel(start, tick=False):
        assert post(staff, order, "soak", soak=f"start-{row.number}", **{"result-1": "ok"}).status_code == 303
        assert "The soak ends at" in page(staff, order)
    assert rows_of(order).get(number=1).result == "ok"
    # Another process, another sign-in: nothing is known but the rows.
    later = Client()
    with time_machine.travel(start + dt.timedelta(minutes=18), tick=False):
        later.force_login(bench.technician)
        assert ">12 min</b> left" in page(later, order)
        early = post(later, order, "keep", **{f"result-{row.number}": "ok"})
        assert early.status_code == 422 and "12 of 30 minutes left" in early.content.decode()
    with time_machine.travel(start + dt.timedelta(minutes=31), tick=False):
        later.force_login(bench.technician)
        assert "The soak is over since" in page(later, order)
        assert post(later, order, "keep", **{f"result-{row.number}": "ok"}).status_code == 303
    row.refresh_from_db()
    assert (row.result, row.soak_ended_at) == ("ok", start + dt.timedelta(minutes=30))


def test_bare_number_is_read_and_said_in_the_unit_of_its_limits(staff, order):
    row = rows_of(order).get(mode="amps", high__isnull=False)
    assert "2 mA</span>. A number alone is read in mA." in page(staff, order)
    said = post(staff, order, "reading", headers=SCRIPT, row=row.number, typed="1").json()
    assert (said["reading"], said["result"], said["said"]) == ("1 mA", "ok", "1 mA: OK.")
    post(staff, order, "keep", **{f"reading-{row.number}": "3"})
    row.refresh_from_db()
    assert row.reading == "1 mA"  # 3 mA is over the limit: OK of before needs a reason now
    answer = post(staff, order, "keep", **{f"reading-{row.number}": "9" * 20})
    assert f"Row {row.number}: That value is too large to be a reading." in answer.content.decode()


@pytest.mark.parametrize("press", ["", "start-99", "begin-1", "start-1", "stop-1"])
def test_soak_of_no_such_row_is_refused(staff, order, press):
    assert post(staff, order, "soak", soak=press).status_code == 422


def test_rows_that_need_the_code_are_marked_at_one_press(staff, order):
    count = rows_of(order).filter(unlocked=True).count()
    assert f"Mark {count} rows: cannot test, without the code" in page(staff, order)
    assert post(staff, order, "without-code").status_code == 303
    assert rows_of(order).filter(result="cannot", reason="Without your code").count() == count
    assert "without the code</button>" not in page(staff, order)


def test_second_look_is_offered_to_another_person_alone(bench, staff, order):
    TestSheet.objects.update(second_eyes=True)
    button = "I looked over every row"
    assert button not in page(staff, order) and "another person looks over every row" in page(staff, order)
    other = Client()
    other.force_login(bench.owner)
    assert button in page(other, order)
    early = post(other, order, "second")
    assert early.status_code == 422 and "after every row is filled" in early.content.decode()
    rows_of(order).update(result="ok")
    assert post(other, order, "second").status_code == 303
    assert TestRun.objects.get(order=order).second_by == bench.owner
    assert f"Looked over by {bench.owner.initials}" in page(staff, order)


@pytest.mark.parametrize("act", ["soak", "without-code", "second", "reading"])
def test_posts_of_the_sheet_take_no_get_and_no_stranger(client, staff, order, act):
    assert staff.get(f"/sheet/{order.code}/test/{act}/").status_code == 405
    assert client.post(f"/sheet/{order.code}/test/{act}/").status_code in (302, 403)
