"""Parts at station 60 by lot: scanned, chosen, refused when stopped, written off; and steps by remedy."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db.models import Sum

from intake.models import HistoryEntry
from intake.stations import Station
from quotes import lots
from quotes.models import Move, Part, Remedy
from shop.books import gather
from shop.books.house import smallest_units
from shop.models import RepairStep
from shop.stockroom import lots as stock_lots
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)


@pytest.fixture
def deliver(bench, at):
    """Takes in a delivery of a part as a lot."""

    def came(number: str, pieces: int, cost: str = "0.09"):
        return stock_lots.receive_lot(
            part=Part.objects.get(number=number), quantity=pieces, unit_cost=Decimal(cost), supplier="Tin Street",
            marks="", note="", key=f"in-{number}-{pieces}", by=bench.technician, at=at,
        )  # fmt: skip

    return came


def post(staff, order, act, **fields):
    return staff.post(f"/sheet/{order.code}/{act}/", fields)


def page(staff, order):
    return staff.get(f"/sheet/{order.code}/").content.decode()


def test_scanned_lot_is_fitted_and_named(staff, order, deliver):
    lot = deliver("WIRE-002", 2)
    answer = staff.post(
        f"/sheet/{order.code}/repair/part/", {"number": "l-0001", "quantity": "1", "key": "a"}, follow=True
    )
    assert "WIRE-002 fitted: 1, lot L-0001." in answer.content.decode()
    assert (Move.objects.get(key="a").lot, lots.pieces_of(lot)) == (lot, 1)
    assert f'href="/stock/lots/{lot.pk}/">L-0001</a>' in page(staff, order)


def test_part_that_came_in_several_lots_is_asked_for_its_bag_the_oldest_proposed(staff, order, deliver):
    first, second = deliver("WIRE-002", 2), deliver("WIRE-002", 3)
    refused = post(staff, order, "repair/part", number="WIRE-002", quantity="1", key="a")
    text = refused.content.decode()
    assert refused.status_code == 422 and "It came in more than one lot." in text
    chosen = re.search(r'<select name="lot"[^>]*>(.*?)</select>', text, re.DOTALL)[1]
    assert re.findall(r'value="([^"]+)"', chosen) == ["L-0001", "L-0002", "none"]
    assert re.search(r'value="L-0001"\s+selected', chosen)
    post(staff, order, "repair/part", number="WIRE-002", quantity="1", key="a", lot=second.number)
    post(staff, order, "repair/part", number="WIRE-002", quantity="1", key="b", lot="none")
    assert [Move.objects.get(key=key).lot for key in "ab"] == [second, None]
    assert lots.pieces_of(first) == 2


def test_part_of_one_lot_needs_no_question(staff, order, deliver):
    lot = deliver("SOCK-C7", 1)
    part = Part.objects.get(number="SOCK-C7")
    loose = part.on_hand - 1
    if loose:
        post(staff, order, "repair/part", number="SOCK-C7", quantity=loose, key="l", lot="none")
    post(staff, order, "repair/part", number="SOCK-C7", quantity="1", key="a")
    assert Move.objects.get(key="a").lot == lot


def test_part_put_aside_offers_its_lots_beside_the_press(staff, order, deliver):
    deliver("WIRE-002", 2)
    text = page(staff, order)
    wire = Part.objects.get(number="WIRE-002").pk
    assert f'id="lot-of-{wire}" name="lot"><option value="L-0001">Lot L-0001: 2</option>' in text


@pytest.mark.parametrize("number", ["L-0001", "WIRE-002"])
def test_stopped_lot_is_refused_with_its_reason(staff, order, deliver, bench, at, number):
    lot = deliver("WIRE-002", 2)
    stock_lots.stop_lot(lot=lot, reason="sample", words="2 of 2 open", by=bench.technician, at=at)
    answer = post(staff, order, "repair/part", number=number, lot="L-0001", quantity="1", key="a")
    text = answer.content.decode()
    assert answer.status_code == 422 and "Lot L-0001 is stopped: Sample test failed: 2 of 2 open" in text
    assert not Move.objects.filter(key="a").exists()


def test_bad_on_arrival_leads_to_its_lot_and_costs_the_order(staff, order, deliver, at):
    lot = deliver("WIRE-002", 2)
    fields = {"number": "L-0001", "quantity": "2", "spoiled": "bad", "why": "both open", "key": "a"}
    answer = staff.post(f"/sheet/{order.code}/repair/part/", fields, follow=True)
    text = answer.content.decode()
    assert "Look at the rest of the lot" in text and "Look at lot L-0001, stop it" in text
    move = Move.objects.get(key="a")
    assert (move.kind, move.why, move.lot) == ("spoil", "Bad on arrival: both open", lot)
    assert HistoryEntry.objects.get(what="part spoiled").facts["lot"] == "L-0001"
    (line,) = gather.open_books("all", at=at + timedelta(days=1)).lines
    assert line.spoiled == smallest_units(2 * move.unit_cost, 2) > 0


def test_fitted_part_that_is_no_good_is_written_off_in_one_press(staff, order, deliver):
    lot = deliver("WIRE-002", 2)
    post(staff, order, "repair/part", number="L-0001", quantity="1", key="a")
    move = Move.objects.get(key="a")
    refused = post(staff, order, "repair/spoiled", move=move.pk, reason="other", why=" ", key="s")
    assert refused.status_code == 422 and "Say how it was spoiled." in refused.content.decode()
    for _ in range(2):
        post(staff, order, "repair/spoiled", move=move.pk, reason="bad", why="", key="s")
    spoiled = Move.objects.get(key="s")
    assert (spoiled.kind, spoiled.why, spoiled.lot) == ("spoil", "Bad on arrival", lot)
    assert lots.pieces_of(lot) == 1 and lots.holders(lot) == []
    part = Part.objects.get(number="WIRE-002")
    assert part.on_hand == part.moves.aggregate(sum=Sum("on_hand_change"))["sum"]
    refused = post(staff, order, "repair/spoiled", move=move.pk, reason="bad", key="t")
    assert refused.status_code == 422 and "put back already" in refused.content.decode()


def test_donor_part_that_the_quote_does_not_name_is_said(staff, order):
    answer = staff.post(
        f"/sheet/{order.code}/repair/part/", {"number": "DON-Q3", "quantity": "1", "key": "d"}, follow=True
    )
    text = answer.content.decode()
    assert "DON-Q3 (from a donor board) fitted: 1." in text and "Tell the customer" in text
    assert "from a donor board" in page(staff, order)


def test_steps_stand_under_their_remedy_with_hand_and_time(staff, order):
    text = page(staff, order)
    remedy = RepairStep.objects.first() or Remedy.objects.get(name="Fit jumper wire")
    assert f"<legend>{remedy.name}</legend>" in text and "A wire never bridges a fuse." in text
    keys = re.findall(r'name="steps" value="([^"]+)"', text)
    post(staff, order, "repair/steps", steps=keys[:1])
    post(staff, order, "repair/steps", steps=keys[:2])
    assert order.steps.get(key=keys[0]).remedy.name == remedy.name
    assert "since the last: 0 min" in page(staff, order)
    post(staff, order, "repair/steps", steps=keys[1:2])
    told = HistoryEntry.objects.get(what="step not done")
    assert (told.facts["step"], told.facts["ticked by"]) == ("Shield off", "pim")


def test_step_of_ones_own_joins_the_list_of_the_remedy_once(staff, order):
    post(staff, order, "repair/step", text="Relaid the shield", key="k1")
    step, remedy = RepairStep.objects.get(key="k1"), Remedy.objects.get(name="Fit jumper wire")
    assert "Add it to the list of Fit jumper wire" in page(staff, order)
    before = list(remedy.steps)
    for _ in range(2):
        post(staff, order, "repair/step-into-remedy", step=step.pk, remedy=remedy.pk)
    remedy.refresh_from_db()
    assert remedy.steps == [*before, "Relaid the shield"]
    assert HistoryEntry.objects.filter(what="remedy changed").count() == 1
    assert page(staff, order).count(" Relaid the shield") <= 2
    assert len(re.findall(r'name="steps" value', page(staff, order))) == len(before) + 1
    other = post(staff, order, "repair/step-into-remedy", step=step.pk, remedy="999999")
    assert other.status_code == 303


def test_caution_stands_at_the_place_of_the_hand(staff, order):
    text = page(staff, order)
    places = [
        text.index(words) for words in ("Extraction on.", "A wire never bridges a fuse.", "After liquid")
    ]
    assert places == sorted(places) and places[-1] < text.index('id="repair-done"')


def test_more_than_the_quote_names_is_said_at_once_and_put_back(staff, order):
    given = {"number": "WIRE-002", "quantity": "1"}
    first = staff.post(f"/sheet/{order.code}/repair/part/", {**given, "key": "a"}, follow=True)
    assert "the quote names" not in first.content.decode()
    second = staff.post(f"/sheet/{order.code}/repair/part/", {**given, "key": "b"}, follow=True)
    assert "That makes 2, and the quote names 1." in second.content.decode()
    post(staff, order, "repair/back", move=Move.objects.get(key="b").pk)
    third = staff.post(f"/sheet/{order.code}/repair/part/", {**given, "key": "c"}, follow=True)
    assert "That makes 2, and the quote names 1." in third.content.decode()
