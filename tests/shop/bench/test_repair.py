"""Station 60: no repair before an agreed quote, no bill before a test or a no fix, every part a move."""

import pytest

from intake.lifecycle import IllegalMove, SheetMoved
from intake.refusals import Refused
from intake.stations import Outcome, SlipReason, Station
from quotes import stock
from quotes.models import Move, Part
from quotes.refusals import NotEnough
from shop.bench import repair, work
from tests import walk

WHY = "The bench was tidied before the sheet was"


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)


@pytest.fixture
def wire(bench):
    return Part.objects.get(number="WIRE-002")


def test_no_repair_and_no_part_before_an_agreed_quote(bench, at, wire):
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    who = {"by": bench.technician, "at": at}
    with pytest.raises(Refused, match="without an agreed quote|done at Repair"):
        repair.finish(order=order, seen_version=order.version, **who)
    with pytest.raises(Refused, match="without an agreed quote|done at Repair"):
        repair.no_fix(order=order, seen_version=order.version, words="It is dead.", **who)
    with pytest.raises(Refused, match="after the go-ahead"):
        repair.use_part(order=order, part=wire, quantity=1, key="k", **who)
    assert not order.invoices.exists() and not Move.objects.filter(kind="consume").exists()


def test_steps_of_the_agreed_work_are_shown_before_any_is_written(bench, order, at):
    shown = repair.steps_of(order)
    assert [step.text for step in shown][:2] == ["Shield off", "Board cleaned"]
    assert not order.steps.exists()
    assert repair.tick_these(order=order, keys=[shown[1].key], by=bench.technician, at=at) == 1
    assert [bool(step.done_at) for step in repair.steps_of(order)] == [False, True] + [False] * (
        len(shown) - 2
    )
    assert repair.tick_these(order=order, keys=[], by=bench.technician, at=at) == 0


def test_a_tick_that_does_not_change_keeps_its_hand(bench, order, at):
    key = repair.steps_of(order)[0].key
    repair.tick_these(order=order, keys=[key], by=bench.technician, at=at)
    repair.tick_these(order=order, keys=[key], by=bench.owner, at=at)
    assert order.steps.get(key=key).by == bench.technician


def test_fitting_takes_what_is_aside_first_and_the_counters_are_the_sum_of_moves(bench, order, at, wire):
    for key in ("a", "a", "b"):
        repair.use_part(order=order, part=wire, quantity=1, key=key, by=bench.technician, at=at)
    wire.refresh_from_db()
    assert (wire.on_hand, wire.reserved) == (58, 0)
    moves = list(wire.moves.all())
    assert sum(move.on_hand_change for move in moves) == wire.on_hand
    assert sum(move.reserved_change for move in moves) == wire.reserved
    assert stock.set_aside(order) == {}


def test_more_than_the_bin_holds_is_refused_and_nothing_changes(bench, order, at, wire):
    with pytest.raises(NotEnough, match="61 wanted, 60 free"):
        repair.use_part(order=order, part=wire, quantity=61, key="k", by=bench.technician, at=at)
    wire.refresh_from_db()
    assert (wire.on_hand, wire.reserved) == (60, 1)


def test_part_is_put_back_once_and_only_while_at_repair(bench, order, at, wire):
    who = {"by": bench.technician, "at": at}
    move = repair.use_part(order=order, part=wire, quantity=1, key="a", **who)
    repair.put_back(move=move, **who)
    with pytest.raises(Refused, match="already"):
        repair.put_back(move=move, **who)
    again = repair.use_part(order=order, part=wire, quantity=1, key="b", **who)
    repair.finish(order=order, seen_version=order.version, anyway=WHY, **who)
    again = Move.objects.select_related("order").get(pk=again.pk)
    with pytest.raises(Refused, match="at station 60"):
        repair.put_back(move=again, **who)
    wire.refresh_from_db()
    assert wire.on_hand == 59


def test_spoiled_part_cannot_be_put_back(bench, order, at, wire):
    who = {"by": bench.technician, "at": at}
    move = repair.use_part(order=order, part=wire, quantity=1, key="a", spoiled=True, why="burnt", **who)
    assert move.why == "burnt"
    with pytest.raises(Refused, match="Only a part that was fitted"):
        repair.put_back(move=move, **who)


def test_a_part_that_is_waited_for_bars_the_signature(bench, at, wire):
    Part.objects.filter(pk=wire.pk).update(on_hand=0)
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    with pytest.raises(Refused, match="still waited for"):
        repair.finish(order=order, seen_version=order.version, by=bench.technician, at=at)
    assert repair.parts_came(order=order, by=bench.technician, at=at) != []
    Part.objects.filter(pk=wire.pk).update(on_hand=1)
    assert repair.parts_came(order=order, by=bench.technician, at=at) == []
    repair.finish(order=order, seen_version=order.version, by=bench.technician, at=at, anyway=WHY)
    assert order.station == Station.TEST


def test_signature_carries_the_minutes_and_stops_what_runs(bench, order, at):
    work.write_down(order=order, kind="repair", minutes=42, by=bench.technician, at=at)
    work.start(order=order, kind="repair", by=bench.technician, at=at)
    repair.finish(order=order, seen_version=order.version, by=bench.technician, at=at, anyway=WHY)
    assert order.lines.get(station=60).minutes == 43
    assert work.running_of(bench.technician) is None
    assert order.test_runs.count() == 1


def test_work_left_undone_bars_the_signature_until_a_reason_is_given(bench, order, at):
    sign = {"order": order, "seen_version": order.version, "by": bench.technician, "at": at}
    left = len(repair.steps_of(order))
    said = f"1 part put aside is not fitted, {left} steps are not ticked. Sign all the same, and say why."
    for words in ({}, {"note": "A word of its own"}, {"anyway": " "}):
        with pytest.raises(Refused) as refused:
            repair.finish(**sign, **words)
        assert (refused.value.sentence, refused.value.field) == (said, "note")
    assert not order.history.filter(what="signed undone").exists()
    repair.finish(**sign, anyway=WHY)
    assert order.station == Station.TEST and order.lines.get(station=60).note == WHY
    assert order.history.get(what="signed undone").facts == {"undone": said.split(" Sign")[0], "why": WHY}


def test_all_done_signs_without_a_reason(bench, order, at, wire):
    who = {"by": bench.technician, "at": at}
    repair.use_part(order=order, part=wire, quantity=1, key="a", **who)
    repair.tick_these(order=order, keys=[step.key for step in repair.steps_of(order)], **who)
    repair.finish(order=order, seen_version=order.version, **who)
    assert order.station == Station.TEST and not order.history.filter(what="signed undone").exists()


def test_of_two_who_sign_one_does(bench, order, at):
    seen = order.version
    repair.finish(order=order, seen_version=seen, by=bench.technician, at=at, anyway=WHY)
    with pytest.raises((SheetMoved, IllegalMove)):
        repair.finish(order=order, seen_version=seen, by=bench.owner, at=at)
    assert order.test_runs.count() == 1


def test_second_fault_is_asked_and_the_first_job_can_still_be_finished(bench, order, at):
    found = repair.Found(fault_class="cracked joint", words="The speaker line is cracked.", mendable="yes")
    repair.second_fault(
        order=order, seen_version=order.version, found=found, key="f2", by=bench.technician, at=at
    )
    assert order.station == Station.QUOTE
    walk.quote(order, by=bench.technician, at=at)
    walk.answer(order, at=at, choice="first")
    assert order.station == Station.REPAIR
    walk.mend(order, by=bench.technician, at=at)
    walk.test_and_pass(order, by=bench.technician, at=at)
    assert order.invoices.get().total == order.quotes.get(revision=1).total


@pytest.mark.parametrize("station", [Station.REPAIR, Station.TEST])
def test_no_fix_frees_parts_and_bills_only_what_was_told(bench, at, station, wire):
    order = walk.to(walk.request(at=at), station, by=bench.technician, at=at)
    repair.no_fix(order=order, seen_version=order.version, words="Burnt inside.", by=bench.technician, at=at)
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.NO_FIX)
    assert order.invoices.get().total == order.quotes.get().no_fix_total
    assert stock.set_aside(order) == {}
    assert not order.slips.filter(reason=SlipReason.PART, ended_at__isnull=True).exists()
    assert order.letters.filter(kind="no_fix").count() == 1
    assert not order.test_runs.filter(signed_at__isnull=True).exists()


def test_no_fix_needs_words(bench, order, at):
    with pytest.raises(Refused, match="plain words"):
        repair.no_fix(order=order, seen_version=order.version, words=" ", by=bench.technician, at=at)


def test_tick_taken_off_stays_in_the_history(bench, order, at):
    key = repair.steps_of(order)[0].key
    repair.tick_these(order=order, keys=[key], by=bench.technician, at=at)
    repair.tick_these(order=order, keys=[], by=bench.owner, at=at)
    entry = order.history.get(what="step not done")
    assert (entry.who, entry.facts["ticked by"]) == (bench.owner.username, bench.technician.username)


def test_fitted_part_that_is_no_good_is_written_off_once_into_its_order(bench, order, at, wire):
    who = {"by": bench.technician, "at": at}
    move = repair.use_part(order=order, part=wire, quantity=1, key="a", **who)
    first = repair.spoil_fitted(move=move, why="Burnt", key="s", **who)
    assert repair.spoil_fitted(move=move, why="Burnt", key="s", **who) == first
    wire.refresh_from_db()
    assert (first.kind, first.why, wire.on_hand) == ("spoil", "Burnt", 59)
    assert sum(one.on_hand_change for one in wire.moves.all()) == wire.on_hand
    with pytest.raises(Refused, match="already"):
        repair.spoil_fitted(move=move, why="Burnt", key="t", **who)


@pytest.mark.parametrize(("number", "untold"), [("WIRE-002", False), ("DON-Q3", True)])
def test_part_that_is_not_new_and_not_on_the_quote_is_untold(bench, order, number, untold):
    assert repair.untold(order, Part.objects.get(number=number)) is untold
