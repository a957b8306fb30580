"""A list out and in again changes nothing; a list in is all rows or none, once, and never the pieces on hand."""

import os
import threading
import time
from datetime import datetime
from decimal import Decimal as D

import pytest
from django.db import connection

from intake import history
from intake.models import HistoryEntry, Person
from quotes.models import Part, Rates, Remedy, Surcharge
from quotes.price_lists import taking_in
from quotes.price_lists.columns import LISTS
from quotes.price_lists.keeping import FOLDER, TAKEN_IN, WEEK_SECONDS, keep_file
from quotes.price_lists.taking_in import look, take_in
from quotes.refusals import Refused
from tests.bench_orders import at_quote, lines
from tests.files import stored_path

PARTS, REMEDIES, SURCHARGES = LISTS["parts"], LISTS["remedies"], LISTS["surcharges"]


@pytest.fixture
def book(rates: Rates, remedy: Remedy, part: Part) -> None:
    Part.objects.create(
        number="cap-9", name="=Cap  9 ", unit_cost=D("0.0313"), minimum_price=D("1.5"), special=True
    )
    Part.objects.create(number="PLUG-1", name="Plug", condition="donor", unit_cost=D("1.234"), active=False)
    Remedy.objects.create(
        name="Clean", minutes=40, minutes_low=30, minutes_high=60, steps=["Off ", "On, dry"]
    )
    Surcharge.objects.create(name="-Rush", kind="rush", percent=D("12.5"))
    Surcharge.objects.create(name="Box", amount=D("4.5"), still_charged=True)


def kept(text: str | bytes) -> str:
    return keep_file(text if isinstance(text, bytes) else text.encode())


def taken(kind, text, by, at):
    digest = kept(text)
    return take_in(kind=kind, digest=digest, seen=look(kind=kind, digest=digest).diff.digest, by=by, at=at)


def told(kind, text):
    return [(f.row, f.column, f.sentence) for f in look(kind=kind, digest=kept(text)).diff.faults]


@pytest.mark.usefixtures("book")
@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
@pytest.mark.parametrize("kind", LISTS.values(), ids=LISTS)
def test_list_out_and_in_again_changes_nothing(kind, suffix, owner: Person, at: datetime):
    content = taking_in.list_out(kind, suffix)
    seen = look(kind=kind, digest=kept(content))
    assert (seen.diff.faults, seen.diff.rows, seen.preview) == ([], [], None)
    assert seen.diff.same == taking_in.model_of(kind).objects.count() > 1
    assert taken(kind, content, owner, at) is None
    assert not HistoryEntry.objects.filter(what=TAKEN_IN).exists()


@pytest.mark.usefixtures("book")
def test_list_in_changes_prices_and_adds_rows_but_no_piece_on_hand(owner, at):
    text = "Number;Name;List price;Cost;On hand\nflx-7;Flex part;5,50;0,09;99\nnew-1;New one;;2,00;7\n"
    digest = kept(text)
    seen = look(kind=PARTS, digest=digest)
    assert (len(seen.diff.new), len(seen.diff.changed), seen.diff.untouched) == (1, 1, 2)
    assert "Pieces on hand are not read" in seen.diff.notes[0]
    assert seen.preview and (seen.preview.dearer, seen.preview.cheaper, seen.preview.added) == (1, 0, 1)
    assert [(row.name, row.before, row.after) for row in seen.preview.rows] == [
        ("FLX-7 Flex part", D("4.00"), D("5.50"))
    ]
    assert not Part.objects.filter(number="NEW-1").exists()
    assert take_in(kind=PARTS, digest=digest, seen=seen.diff.digest, by=owner, at=at) == 2
    flex, new = Part.objects.get(number="FLX-7"), Part.objects.get(number="NEW-1")
    assert (flex.list_price, flex.on_hand, flex.unit_cost) == (D("5.5"), 4, D("0.09"))
    assert (new.unit_cost, new.on_hand, new.active) == (D(2), 0, True)
    entry = HistoryEntry.objects.get(what=TAKEN_IN)
    assert entry.facts["rows"][0] == {"key": "FLX-7", "changes": {"list_price": ["4", "5.5"]}}
    assert history.verify() is None


@pytest.mark.usefixtures("book")
def test_second_press_does_nothing_and_going_back_gives_the_old_values(owner, at):
    text = "Number,List price\nFLX-7,9\nNEW-1,3\n"
    assert told(PARTS, text) == [(3, "Name", "NEW-1 is not there yet. A new part needs its name.")]
    text = "Number,Name,List price\nFLX-7,Flex part,9\nNEW-1,New,3\n"
    digest = kept(text)
    seen = look(kind=PARTS, digest=digest).diff.digest
    assert take_in(kind=PARTS, digest=digest, seen=seen, by=owner, at=at) == 2
    assert take_in(kind=PARTS, digest=digest, seen=seen, by=owner, at=at) is None
    entry = HistoryEntry.objects.get(what=TAKEN_IN)
    back = look(kind=PARTS, digest=entry.facts["before"])
    assert back.diff.faults == []
    assert take_in(kind=PARTS, digest=entry.facts["before"], seen=back.diff.digest, by=owner, at=at) == 2
    assert Part.objects.get(number="FLX-7").list_price == D(4)
    assert not Part.objects.get(number="NEW-1").active


@pytest.mark.usefixtures("book")
def test_other_changes_than_those_looked_at_are_refused(owner, at):
    digest = kept("Number,List price\nFLX-7,9\n")
    seen = look(kind=PARTS, digest=digest).diff.digest
    Part.objects.filter(number="FLX-7").update(list_price=D(8))
    with pytest.raises(Refused, match="changed since you looked"):
        take_in(kind=PARTS, digest=digest, seen=seen, by=owner, at=at)
    assert Part.objects.get(number="FLX-7").list_price == D(8)
    for gone in ("0" * 64, "../../etc", ""):
        with pytest.raises(Refused, match="not here any more"):
            look(kind=PARTS, digest=gone)


@pytest.mark.usefixtures("book")
@pytest.mark.parametrize(
    ("kind", "text", "row", "column", "sentence"),
    [
        (PARTS, "Number,Cost\nFLX-7,0.10\n", 2, "Cost", "4 lie in the bin, so their cost is what was paid"),
        (PARTS, "Number,In use\nFLX-7,no\n", 2, "In use", "4 still lie in the bin"),
        (PARTS, "Number,Condition\nFLX-7,used\n", 2, "Condition", "set when it is written down"),
        (PARTS, "Number,Name\nA B,x\n", 2, "Number", "so that it can be scanned"),
        (PARTS, "Number,Name\nFLX-7,=1+1\n", 2, "Name", "formula"),
        (REMEDIES, "Name,Minutes low\nClean,50\n", 2, "Minutes low", "more than the 40 standard minutes"),
        (REMEDIES, "Name,Minutes\nClean,70\n", 2, "Minutes", "less than the 70 standard minutes"),
        (REMEDIES, "Name\nPolish\n", 2, "Minutes", "A new remedy needs its minutes."),
        (SURCHARGES, "Name,Sum\n-Rush,4\n", 2, "Sum", "one of the two"),
        (SURCHARGES, "Name,Percent\nBox,\nLate,\n", 3, "Sum", "one of the two"),
    ],
)
def test_row_that_cannot_be_is_told_and_nothing_is_taken_in(kind, text, row, column, sentence, owner, at):
    found = told(kind, text)
    assert [(number, head) for number, head, _ in found] == [(row, column)]
    assert sentence in found[0][2]
    digest = kept(text)
    with pytest.raises(Refused, match="has faults"):
        take_in(kind=kind, digest=digest, seen=look(kind=kind, digest=digest).diff.digest, by=owner, at=at)


@pytest.mark.usefixtures("book")
def test_remedy_that_counts_under_another_is_not_offered_again_by_a_list():
    stays = Remedy.objects.create(name="Clean it", minutes=40)
    Remedy.objects.filter(name="Clean").update(merged_into=stays, active=False)
    assert told(REMEDIES, "Name,In use\nClean,no\n") == []
    (found,) = told(REMEDIES, "Name,In use\nClean,yes\n")
    assert found == (2, "In use", "It counts under another remedy. Take that back first.")


@pytest.mark.usefixtures("book")
def test_one_wrong_row_keeps_all_the_others_out(owner, at):
    digest = kept("Number,List price\nFLX-7,9\ncap-9,dear\n")
    seen = look(kind=PARTS, digest=digest)
    assert seen.preview is None and len(seen.diff.changed) == 1
    with pytest.raises(Refused, match="Nothing was taken in"):
        take_in(kind=PARTS, digest=digest, seen=seen.diff.digest, by=owner, at=at)
    assert Part.objects.get(number="FLX-7").list_price == D(4)


def test_looking_says_which_open_quotes_move_and_saves_nothing(technician, at, rates, remedy, part):
    from quotes import drafts

    order = at_quote(by=technician, at=at)
    draft = drafts.draft_of(order, at=at)
    drafts.save_draft(draft=draft, lines=lines(remedy, part), words="", promise=draft.promise, at=at)
    before = HistoryEntry.objects.count()
    seen = look(kind=PARTS, digest=kept("Number,List price\nFLX-7,14\n"))
    assert seen.preview and seen.preview.drafts_moving == 1
    moved = seen.preview.drafts[0]
    assert (moved.name, moved.change) == (order.code, D("10.80"))
    assert Part.objects.get().list_price == D(4)
    assert HistoryEntry.objects.count() == before


@pytest.mark.usefixtures("book")
def test_file_that_was_only_looked_at_goes_after_a_week_and_the_way_back_stays(owner, at):
    idle, used = kept("Number\nFLX-7\n"), kept("Number,List price\nFLX-7,9\n")
    take_in(kind=PARTS, digest=used, seen=look(kind=PARTS, digest=used).diff.digest, by=owner, at=at)
    before = HistoryEntry.objects.get(what=TAKEN_IN).facts["before"]
    old = time.time() - WEEK_SECONDS - 60
    for digest in (idle, used, before):
        os.utime(stored_path(digest, folder=FOLDER, suffix=".csv"), (old, old))
    kept("Number\ncap-9\n")
    assert look(kind=PARTS, digest=used).diff.same == 1
    assert len(look(kind=PARTS, digest=before).diff.changed) == 1
    with pytest.raises(Refused, match="not here any more"):
        look(kind=PARTS, digest=idle)


@pytest.mark.usefixtures("rates")
def test_long_list_is_taken_in_quickly_and_told_in_pieces(owner, at):
    text = "Number,Name,Cost,List price\n" + "".join(f"P-{n},Part {n},1.00,{n}.50\n" for n in range(1, 451))
    assert taken(PARTS, text, owner, at) == 450
    entries = HistoryEntry.objects.filter(what=TAKEN_IN).order_by("seq")
    assert [entry.facts["piece"] for entry in entries] == [1, 2, 3]
    assert sum(len(entry.facts["rows"]) for entry in entries) == 450
    assert taken(PARTS, text, owner, at) is None


@pytest.mark.django_db(transaction=True)
def test_two_who_press_at_once_take_it_in_once(owner, at, rates, part):
    digest = kept("Number,List price\nFLX-7,9\n")
    seen = look(kind=PARTS, digest=digest).diff.digest
    ready, results = threading.Barrier(2), []

    def press() -> None:
        ready.wait()
        try:
            results.append(take_in(kind=PARTS, digest=digest, seen=seen, by=owner, at=at))
        finally:
            connection.close()

    pair = [threading.Thread(target=press) for _ in range(2)]
    for thread in pair:
        thread.start()
    for thread in pair:
        thread.join()
    assert sorted(results, key=str) == [1, None]
    assert HistoryEntry.objects.filter(what=TAKEN_IN).count() == 1
