"""Station 60 on the sheet: steps, parts, minutes, readings after, a second fault, no fix, done."""

import re

import pytest

from intake.models import Order
from intake.stations import Outcome, SlipReason, Station
from quotes.models import Finding, Move, Part, Reading
from shop.models import RepairStep, WorkSession
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)


def post(staff, order, act, **fields):
    return staff.post(f"/sheet/{order.code}/{act}/", fields)


def page(staff, order):
    return staff.get(f"/sheet/{order.code}/").content.decode()


def bin_of(number="WIRE-002"):
    part = Part.objects.get(number=number)
    return part.on_hand, part.reserved


def test_get_shows_the_agreed_steps_and_writes_nothing(staff, order):
    text = page(staff, order)
    assert "Shield off" in text and "Agreed:" in text and "Extraction on." in text
    assert RepairStep.objects.count() == 0


def test_ticks_are_kept_by_script_and_shown_again(staff, order):
    key = re.search(r'name="steps" value="([^"]+)"', page(staff, order))[1]
    answer = staff.post(
        f"/sheet/{order.code}/repair/steps/", {"steps": [key]}, headers={"X-Requested-With": "benchpost"}
    )
    assert (answer.status_code, answer.json()) == (200, {"kept": True})
    step = RepairStep.objects.get(key=key)
    assert step.done_at and step.by.username == "pim"
    assert f'value="{key}" id="steps_steps_0" checked' in page(staff, order)


def test_ticks_of_a_signed_station_are_answered_gently(staff, order, bench, at):
    walk.to(order, Station.TEST, by=bench.technician, at=at)
    answer = staff.post(
        f"/sheet/{order.code}/repair/steps/", {"steps": []}, headers={"X-Requested-With": "benchpost"}
    )
    assert answer.status_code == 409 and "signed meanwhile" in answer.json()["error"]


def test_a_step_of_ones_own_is_written_once(staff, order):
    for _ in range(2):
        post(staff, order, "repair/step", text="Relaid the shield", key="k1")
    assert [step.text for step in order.steps.filter(key="k1")] == ["Relaid the shield"]
    assert post(staff, order, "repair/step", text=" ", key="k2").status_code == 422


def test_part_put_aside_is_fitted_by_one_press_and_can_be_put_back_once(staff, order):
    assert bin_of() == (60, 1)
    for _ in range(2):
        assert post(staff, order, "repair/part", number="WIRE-002", quantity="1", key="p1").status_code == 303
    assert bin_of() == (59, 0)
    move = Move.objects.get(key="p1")
    for _ in range(2):
        post(staff, order, "repair/back", move=move.pk)
    assert bin_of() == (60, 0)
    assert "Put back," in page(staff, order)


def test_spoiled_part_needs_its_reason_and_keeps_it(staff, order):
    fields = {"number": "wire-002", "quantity": "1", "spoiled": "other", "key": "p2"}
    refused = post(staff, order, "repair/part", **fields)
    assert refused.status_code == 422 and "Say how it was spoiled." in refused.content.decode()
    assert bin_of() == (60, 1)
    post(staff, order, "repair/part", **{**fields, "spoiled": "burnt"}, why="Fell onto  the iron")
    move = Move.objects.get(key="p2")
    assert (move.kind, move.why) == ("spoil", "Burnt: Fell onto the iron")
    assert "1 wanted, 59 free in the bin." in page(staff, order)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"number": "NOPE-1", "quantity": "1"}, "No part and no lot has the number NOPE-1"),
        ({"number": "CHG-S2", "quantity": "9"}, "9 wanted, 2 free in the bin."),
        ({"number": "CHG-S2", "quantity": "0"}, "one or more"),
        ({"number": "CHG-S2", "quantity": "-3"}, "one or more"),
        ({"number": "CHG-S2", "quantity": "many"}, "whole number"),
    ],
)
def test_wrong_part_line_is_answered_beside_its_field_and_kept(staff, order, fields, sentence):
    answer = post(staff, order, "repair/part", key="p3", **fields)
    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text
    assert f'value="{fields["number"]}"' in text and f'value="{fields["quantity"]}"' in text


def test_parts_came_takes_the_slip_off_only_when_nothing_is_short(staff, bench, at):
    part = Part.objects.get(number="WIRE-002")
    Part.objects.filter(pk=part.pk).update(on_hand=0)
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    text = page(staff, order)
    assert "The parts came" in text and "0 free in the bin" in text
    post(staff, order, "repair/parts-came")
    assert order.slips.filter(reason=SlipReason.PART, ended_at__isnull=True).exists()
    Part.objects.filter(pk=part.pk).update(on_hand=5)
    post(staff, order, "repair/parts-came")
    assert not order.slips.filter(reason=SlipReason.PART, ended_at__isnull=True).exists()
    assert bin_of() == (5, 1)


def measure(staff, order, **fields):
    said = staff.get(f"/sheet/{order.code}/reading/understood/", fields).json()
    return post(staff, order, "repair/reading", **fields, echoed=said["sentence"])


def test_reading_after_stands_beside_the_one_before_and_only_replaces_its_own_kind(staff, order):
    line = {"low": "0.43", "high": "0.47", "expected_from": "schematic"}
    measure(staff, order, line="Microphone bias d .452", key="r1", **line)
    after = Reading.objects.get(key="r1")
    assert (after.phase, after.verdict) == ("after", "ok")
    text = page(staff, order)
    assert re.search(
        r'>OL</td><td data-head="After" class="num">0.452 V</td><td data-head="Verdict">ok</td>', text
    )
    before = order.readings.get(phase="before")
    wrong = measure(staff, order, line="Microphone bias d .4", key="r2", instead_of=before.pk)
    assert wrong.status_code == 404
    measure(staff, order, line="Microphone bias d .46", key="r3", instead_of=after.pk, **line)
    assert Reading.objects.get(pk=after.pk).superseded_by.key == "r3"
    assert Reading.objects.get(pk=before.pk).superseded_by is None


def test_minutes_start_and_stop_on_the_right_kind(staff, order):
    post(staff, order, "minutes", go="start")
    assert WorkSession.objects.get(ended_at__isnull=True).kind == "repair"
    assert "Repairing since" in page(staff, order)
    post(staff, order, "minutes", go="stop")
    assert not WorkSession.objects.filter(ended_at__isnull=True).exists()


def test_signing_writes_the_ticks_and_goes_to_test(staff, order):
    keys = re.findall(r'name="steps" value="([^"]+)"', page(staff, order))
    part = Part.objects.get(number="WIRE-002")
    post(staff, order, "repair/part", number=part.number, quantity="1", key="w")
    answer = post(staff, order, "repair/done", steps=keys, version=order.version, sign="60")
    assert answer.status_code == 303
    order.refresh_from_db()
    assert order.station == Station.TEST
    assert order.lines.get(station=60).note.startswith("Done: Shield off")
    assert "0 steps" not in page(staff, order)


def test_refused_signature_keeps_the_ticks_and_the_note(staff, order):
    staff.post(f"/sheet/{order.code}/hold/", {"slip-reason": "for a part"})
    keys = re.findall(r'name="steps" value="([^"]+)"', page(staff, order))
    answer = post(staff, order, "repair/done", steps=keys[:2], version=order.version, note="Cleaned twice")
    text = answer.content.decode()
    assert answer.status_code == 422 and "still waited for" in text and "Cleaned twice" in text
    assert order.steps.filter(done_at__isnull=False).count() == 2


def test_signature_over_undone_work_is_refused_once_beside_the_note(staff, order):
    keys = re.findall(r'name="steps" value="([^"]+)"', page(staff, order))
    left = f"1 part put aside is not fitted, {len(keys) - 1} steps are not ticked."
    done = {"steps": keys[:1], "version": order.version}
    answer = post(staff, order, "repair/done", **done, note="Cleaned twice")
    text = answer.content.decode()
    assert answer.status_code == 422 and f"{left} Sign all the same, and say why." in text
    assert f'name="told" value="{left}"' in text and "Cleaned twice" in text
    assert post(staff, order, "repair/done", **done, told=left).status_code == 422
    assert post(staff, order, "repair/done", **done, told=left, note="Cleaning was enough").status_code == 303
    order.refresh_from_db()
    assert order.station == Station.TEST
    assert "Why: Cleaning was enough" in page(staff, order)


def test_an_old_page_signs_nothing(staff, order):
    answer = post(staff, order, "repair/done", version=order.version - 1, note="From the other window")
    assert answer.status_code == 409
    assert Order.objects.get(pk=order.pk).station == Station.REPAIR
    assert "From the other window" in answer.content.decode()


def test_second_fault_goes_to_quote_and_the_first_agreement_stands(staff, order):
    fields = {"fault_class": "cracked joint", "key": "f2", "version": order.version}
    assert post(staff, order, "repair/second", **fields).status_code == 422
    post(staff, order, "repair/second", **fields, words="The speaker line is cracked too.")
    order.refresh_from_db()
    assert order.station == Station.QUOTE and Finding.objects.get(key="f2").words.startswith("The speaker")
    assert order.quotes.get(revision=1).decision.choice == "mend"
    assert bin_of() == (60, 1)


def test_no_fix_needs_words_bills_only_what_was_told_and_frees_the_parts(staff, order):
    answer = post(staff, order, "repair/no-fix", words="  ", version=order.version)
    assert answer.status_code == 422 and "The customer reads it." in answer.content.decode()
    post(staff, order, "repair/no-fix", words="The layer under it is burnt.", version=order.version)
    order.refresh_from_db()
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.NO_FIX)
    assert order.invoices.get().total == order.quotes.get().no_fix_total
    assert bin_of() == (60, 0)


def test_strangers_are_asked_to_sign_in(client, order):
    answer = client.post(f"/sheet/{order.code}/repair/no-fix/", {"words": "x"})
    assert answer.status_code == 302 and "/sign-in/" in answer.url
