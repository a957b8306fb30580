"""Rows of the test sheet: asked again, in order, with limits, without the code, by the clock, and by a second person."""

import datetime as dt
from decimal import Decimal

import pytest

from intake.models import HistoryEntry, Order, Person
from intake.refusals import Refused
from intake.stations import Station
from quotes import decisions
from quotes.diagnosis import Measured
from quotes.explained import not_explained
from quotes.models import Finding, Reading
from shop.bench import repair, second_eyes, soaks, testing
from shop.bench.marking import WITHOUT_CODE
from shop.bench.test_rows import bad_before, rows_for, sheet_for, standing_after
from shop.demo import steps
from shop.models import TestRow, TestRun, TestSheet
from tests import walk

HOUR = dt.timedelta(hours=1)


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)


@pytest.fixture
def run(order):
    return order.test_runs.get()


@pytest.fixture
def who(bench, at):
    return {"by": bench.technician, "at": at}


def again_of(run):
    return run.rows.get(before__isnull=False)


def fill(run, *, but=(), **who):
    """Mark every row OK in order, the soak with a reason."""
    for row in run.rows.exclude(pk__in=[one.pk for one in but]):
        if row.before_id:
            row = testing.measure_again(row=row, typed=".452", **who)
        reason = "Ran on the shelf" if row.soak_minutes else ""
        testing.mark(row=row, result="ok", reason=reason, reading=row.reading, **who)


def second_asked(run):
    TestSheet.objects.filter(pk=run.sheet_id).update(second_eyes=True)
    return TestRun.objects.get(pk=run.pk)


# ---- what was bad is asked again


def test_a_bad_reading_is_asked_again_with_its_limits(run):
    row = again_of(run)
    assert (row.point, row.mode, row.polarity) == ("Microphone bias", "diode", "red on ground")
    assert (row.low, row.high, row.unit) == (Decimal("0.43"), Decimal("0.47"), "V")
    assert row.must and row.before.special == "OL"


@pytest.mark.parametrize("phase, verdict, asked", [
    ("before", "ok", False), ("before", "low", True), ("before", "no own reading yet", False), ("after", "open", False),
])  # fmt: skip
def test_only_bad_standing_readings_before_the_repair_are_asked_again(run, order, who, phase, verdict, asked):
    other = steps.Measured(
        typed="x r 1", point="X", mode="ohms", value=Decimal(1), unit="ohm", verdict=verdict, phase=phase
    )
    steps.read(order, other, **who)
    assert ("X" in [row.point for row in rows_for(run)]) is asked


def test_the_newest_reading_of_a_place_decides_whether_it_is_asked_again(run, order, who):
    steps.read(order, steps.Measured(**{**vars(steps.GOOD), "phase": "before"}), **who)
    assert not any(row.before_id for row in rows_for(run))


def test_a_value_typed_alone_becomes_the_reading_after(run, who):
    row = testing.measure_again(row=again_of(run), typed=".452", **who)
    taken = Reading.objects.get(phase="after")
    assert (taken.point, taken.mode, taken.polarity, taken.value) == (
        "Microphone bias", "diode", "red on ground", Decimal("0.452"),
    )  # fmt: skip
    assert (taken.verdict, taken.low, row.taken, row.reading) == ("ok", Decimal("0.43"), taken, "0.452 V")


def test_the_same_value_again_writes_nothing_and_another_supersedes(run, who):
    row = again_of(run)
    for typed in (".452", "0.452 V", "d .452"):
        testing.measure_again(row=row, typed=typed, **who)
    assert Reading.objects.filter(phase="after").count() == 1
    for typed in (".460", ".452"):
        testing.measure_again(row=row, typed=typed, **who)
    assert Reading.objects.filter(phase="after", superseded_by__isnull=True).get().value == Decimal("0.452")
    assert Reading.objects.filter(phase="after").count() == 3


@pytest.mark.parametrize("typed", ["boost .452", "abc", "r 4", "db .452", ""])
def test_a_value_of_another_point_or_mode_is_refused(run, who, typed):
    with pytest.raises(Refused):
        testing.measure_again(row=again_of(run), typed=typed, **who)
    assert not Reading.objects.filter(phase="after").exists()


def test_ok_takes_a_standing_reading_after_and_asks_for_one_where_there_is_none(run, order, who):
    row = again_of(run)
    with pytest.raises(Refused, match="Measure Microphone bias again"):
        testing.mark(row=row, result="ok")
    steps.read(order, steps.GOOD, **who)
    testing.mark(row=row, result="ok")
    assert (again_of(run).taken.value, again_of(run).reading) == (Decimal("0.452"), "0.452 V")


def test_ok_against_a_bad_reading_after_needs_a_reason(run, who):
    row = testing.measure_again(row=again_of(run), typed="OL", **who)
    assert row.taken.verdict == "open"
    with pytest.raises(Refused, match="Say why it is OK all the same") as refused:
        testing.mark(row=row, result="ok", reading=row.reading)
    assert refused.value.field == f"reason-{row.number}"
    testing.mark(row=row, result="ok", reading=row.reading, reason="Measured through the shield")


def test_a_worse_reading_after_the_mark_bars_the_signature(run, order, who):
    fill(run, **who)
    worse = steps.Measured(**{**vars(steps.BAD), "phase": "after"})
    steps.read(order, worse, by=who["by"], at=who["at"] + HOUR)
    with pytest.raises(Refused, match="measured again since, and is open"):
        testing.sign_pass(order=order, seen_version=order.version, **who)


def test_nothing_is_asked_again_or_left_on_for_saved_data(run, monkeypatch):
    monkeypatch.setattr("shop.bench.test_rows.choice_of", lambda order: "data")
    texts = [row.text for row in rows_for(run)]
    assert not any("Measure again" in text or "Left on" in text for text in texts)
    assert decisions.agreed_quote(run.order).decision.choice == "mend"


# ---- the symptom last


def test_the_symptom_cannot_be_marked_before_every_other_row(run, who):
    last = run.rows.last()
    with pytest.raises(Refused, match="tested last") as refused:
        testing.mark(row=last, result="ok")
    assert refused.value.field == f"result-{last.number}"
    fill(run, but=[last], **who)
    testing.mark(row=last, result="ok")


def test_a_row_emptied_again_empties_the_symptom(run, who):
    fill(run, **who)
    testing.mark(row=run.rows.first(), result="")
    assert run.rows.last().result == ""


def test_a_symptom_that_no_finding_explains_has_a_row_of_its_own(run, order):
    Finding.objects.filter(order=order).update(not_explained=["Gets hot"])
    rows = rows_for(run)
    assert [row.text for row in rows[-2:]] == [
        "Not explained by the finding: Gets hot", "The customer's own symptom: Nobody hears me",
    ]  # fmt: skip
    assert not rows[-2].must and rows[-1].symptom
    steps_later = Finding.objects.create(
        order=order, key="later", fault_class="x", words="x", mendable="yes", explains=["Gets hot"],
        at=order.created_at, by=run.by,
    )  # fmt: skip
    assert not_explained(order) == [] and steps_later.pk


# ---- limits


@pytest.mark.parametrize(
    "typed, result",
    [("1.2 mA", "ok"), ("2m", "ok"), ("2.1m", "bad"), (".3", "ok"), ("3", "bad"), (".3 A", "bad")],
)
def test_limits_of_a_row_propose_its_result(run, typed, result):
    row = run.rows.get(text__startswith="No draw when off")
    assert (row.mode, row.high, row.unit) == ("amps", Decimal("0.002"), "A")
    assert testing.mark(row=row, result="", reading=typed).result == result


def test_ok_out_of_limits_needs_a_reason_and_a_value_that_is_none_is_refused(run):
    row = run.rows.get(text__startswith="No draw when off")
    with pytest.raises(Refused, match="2.5 mA is high"):
        testing.mark(row=row, result="ok", reading="2.5m")
    testing.mark(row=row, result="ok", reading="2.5m", reason="The test lead's own draw")
    with pytest.raises(Refused, match="is not a value") as refused:
        testing.mark(row=row, result="ok", reading="low")
    assert refused.value.field == f"reading-{row.number}"


# ---- without the code


def test_rows_that_need_the_code_are_marked_at_one_press_and_the_others_stay(run, who):
    ticked = run.rows.filter(unlocked=True).first()
    testing.mark(row=ticked, result="ok")
    count = run.rows.filter(unlocked=True).count()
    assert testing.mark_without_code(run=run, **who) == count - 1 > 3
    assert run.rows.filter(result="cannot", reason=WITHOUT_CODE, unlocked=True).count() == count - 1
    assert not run.rows.filter(unlocked=False).exclude(result="").exists()


def test_cannot_test_says_the_known_reason_by_itself_only_on_that_wish(run):
    row = run.rows.filter(unlocked=True).first()
    assert testing.mark(row=row, result="cannot").reason == WITHOUT_CODE
    Order.objects.filter(pk=run.order_id).update(lock_wish="code")
    fresh = TestRun.objects.get(pk=run.pk)
    with pytest.raises(Refused, match="Say why it cannot be tested"):
        testing.mark(row=fresh.rows.filter(unlocked=True).last(), result="cannot")
    with pytest.raises(Refused, match="did not ask"):
        testing.mark_without_code(run=fresh, by=run.by, at=run.started_at)


def test_what_could_not_be_tested_is_told_in_the_letter(run, order, who):
    row = run.rows.filter(unlocked=True).first()
    fill(run, but=[row, run.rows.last()], **who)
    testing.mark(row=row, result="cannot")
    testing.mark(row=run.rows.filter(unlocked=True).last(), result="already", reason="Cracked glass")
    testing.mark(row=run.rows.last(), result="ok")
    testing.sign_pass(order=order, seen_version=order.version, **who)
    text = order.letters.get(kind="mended").text
    assert f"- {row.text}: Without your code" in text and "bad already when it came" in text
    assert "1 row could not be tested" in order.lines.get(station=Station.TEST).note


# ---- soaks


def test_a_soak_is_ok_only_when_its_time_is_over(run, bench, at):
    row = run.rows.get(soak_minutes=30)
    for minutes, said in ((None, "not started"), (29, "1 of 30 minutes left")):
        if minutes:
            soaks.start(row=row, by=bench.technician, at=at)
        with pytest.raises(Refused, match=said):
            testing.mark(row=row, result="ok", at=at + dt.timedelta(minutes=minutes or 0))
    testing.mark(row=row, result="ok", at=at + dt.timedelta(minutes=45))
    row.refresh_from_db()
    assert row.soak_ended_at == at + dt.timedelta(minutes=30)


def test_a_soak_cut_short_says_so_and_passes_with_a_reason(run, bench, at):
    row = soaks.start(row=run.rows.get(soak_minutes=30), by=bench.technician, at=at)
    row = soaks.stop(row=row, by=bench.technician, at=at + dt.timedelta(minutes=10))
    assert soaks.soak_of(row, at + HOUR).state == "cut short"
    with pytest.raises(Refused, match="cut short"):
        testing.mark(row=row, result="ok", at=at + HOUR)
    testing.mark(row=row, result="ok", reason="Ran all night before", at=at + HOUR)
    with pytest.raises(Refused, match="No soak is running"):
        soaks.stop(row=row, by=bench.technician, at=at + HOUR)


def test_a_soak_that_runs_is_not_started_anew_and_one_cut_short_is(run, bench, at):
    row = soaks.start(row=run.rows.get(soak_minutes=30), by=bench.technician, at=at)
    soaks.start(row=row, by=bench.technician, at=at + dt.timedelta(minutes=5))
    row.refresh_from_db()
    assert row.soak_started_at == at
    soaks.stop(row=row, by=bench.technician, at=at + dt.timedelta(minutes=6))
    soaks.start(row=row, by=bench.technician, at=at + dt.timedelta(minutes=7))
    row.refresh_from_db()
    assert (row.soak_started_at, row.soak_ended_at) == (at + dt.timedelta(minutes=7), None)


def test_two_soaks_on_two_orders_run_at_once_the_first_to_end_first(run, bench, at):
    other = walk.to(walk.request(at=at), Station.TEST, by=bench.technician, at=at)
    later = soaks.start(row=other.test_runs.get().rows.get(soak_minutes=30), by=bench.technician, at=at)
    TestRow.objects.filter(pk=run.rows.get(soak_minutes=30).pk).update(soak_minutes=20)
    soaks.start(row=run.rows.get(soak_minutes=20), by=bench.technician, at=at)
    running = soaks.soaks_running(at + dt.timedelta(minutes=25))
    assert [(one.order, one.over) for one in running] == [(run.order, True), (other, False)]
    assert running[1].row == later and running[1].ends_at == at + dt.timedelta(minutes=30)
    testing.mark(row=run.rows.get(soak_minutes=20), result="ok", at=at + HOUR)
    assert [one.order for one in soaks.soaks_running(at + HOUR)] == [other]


def test_row_without_a_soak_and_a_signed_run_start_none(run, order, who):
    with pytest.raises(Refused, match="no soak"):
        soaks.start(row=run.rows.first(), **who)
    fill(run, **who)
    testing.sign_pass(order=order, seen_version=order.version, **who)
    with pytest.raises(Refused, match="signed"):
        soaks.start(row=run.rows.get(soak_minutes=30), **who)


# ---- the second pair of eyes


def test_second_look_bars_the_signature_until_another_person_gives_it(run, order, bench, who):
    run = second_asked(run)
    with pytest.raises(Refused, match="after every row is filled"):
        second_eyes.confirm(run=run, by=bench.owner, at=who["at"])
    fill(run, **who)
    with pytest.raises(Refused, match="another person looks over"):
        testing.sign_pass(order=order, seen_version=order.version, **who)
    with pytest.raises(Refused, match="You tested it"):
        second_eyes.confirm(run=run, **who)
    second_eyes.confirm(run=run, by=bench.owner, at=who["at"])
    assert HistoryEntry.objects.filter(order=order, what="second look").count() == 1
    with pytest.raises(Refused, match="The one who tested it signs"):
        testing.sign_pass(order=order, seen_version=order.version, by=bench.owner, at=who["at"])
    testing.sign_pass(order=order, seen_version=order.version, **who)
    assert TestRun.objects.get(pk=run.pk).second_by == bench.owner


def test_a_row_changed_after_the_second_look_asks_for_another(run, bench, who):
    run = second_asked(run)
    fill(run, **who)
    second_eyes.confirm(run=run, by=bench.owner, at=who["at"])
    testing.mark(row=run.rows.first(), result="already", reason="Seen late", **who)
    assert TestRun.objects.get(pk=run.pk).second_by is None


def test_a_shop_that_became_one_person_is_not_locked_out(run, order, bench, who):
    run = second_asked(run)
    fill(run, **who)
    Person.objects.exclude(pk=bench.technician.pk).update(is_active=False)
    testing.sign_pass(order=order, seen_version=order.version, **who)


def test_second_look_is_refused_where_the_list_does_not_ask_or_the_test_is_signed(run, order, bench, who):
    with pytest.raises(Refused, match="does not ask"):
        second_eyes.confirm(run=run, by=bench.owner, at=who["at"])
    fill(run, **who)
    testing.sign_pass(order=order, seen_version=order.version, **who)
    with pytest.raises(Refused, match="signed"):
        second_eyes.confirm(run=run, by=bench.owner, at=who["at"])


def test_a_signed_run_keeps_the_version_it_was_begun_with(run, order, who):
    TestSheet.objects.create(device_kind="phone", version=9, since=who["at"], rows=[{"text": "New"}])
    fill(run, **who)
    testing.sign_pass(order=order, seen_version=order.version, **who)
    assert TestRun.objects.get(pk=run.pk).sheet.version == 1
    assert sheet_for("phone", at=who["at"]).version == 9


# ---- what proves the work of this test, and of this board


def test_reading_of_a_test_that_failed_proves_nothing_of_the_next(order, run, who):
    testing.measure_again(row=again_of(run), typed=".452", **who)
    testing.sign_fail(order=order, seen_version=order.version, note="No sound", **who)
    later = {**who, "at": who["at"] + HOUR}
    repair.finish(order=order, seen_version=order.version, **later)
    row = again_of(order.test_runs.get(signed_at=None))
    with pytest.raises(Refused, match="again"):
        testing.mark(row=row, result="ok", **later)
    row = testing.measure_again(row=row, typed=".453", **later)
    testing.mark(row=row, result="ok", reading=row.reading, **later)
    assert TestRow.objects.get(pk=row.pk).taken.value == Decimal("0.453")
    assert not order.readings.filter(superseded_by__isnull=False).exists()


def test_same_point_of_another_board_is_another_place(order, run, who):
    row = again_of(run)
    Reading.objects.filter(pk=row.before_id).update(board="Z7 main")
    row = again_of(run)
    good = {**vars(steps.GOOD), "board": "Z7 sub"}
    steps.read(order, Measured(**good), **who)
    assert standing_after(row) is None
    steps.read(order, Measured(**{**good, "phase": "before"}), **who)
    assert bad_before(order) == [row.before]
    steps.read(order, steps.GOOD, **who)
    assert standing_after(row) is not None
