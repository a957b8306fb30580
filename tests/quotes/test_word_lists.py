"""The shop's lists grow by use, doubles count under one word, and no other row is written."""

import dataclasses
from decimal import Decimal

import pytest

from intake.models import HistoryEntry
from quotes import diagnosis, price_rows, word_changes, word_lists, word_uses
from quotes.diagnosis import Found
from quotes.faults import known_faults
from quotes.list_words import BOARD, FAMILY, FAULT, POINT, REVISION, SYMPTOM
from quotes.models import GoodReading, ListWord, Reading, Remedy
from quotes.refusals import Refused
from tests.bench_orders import FOUND, at_diagnosis
from tests.quotes.test_diagnosis import OPEN_LINE

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def order(technician, at):
    return at_diagnosis(by=technician, at=at, symptoms=["Nobody hears me"])


@pytest.fixture
def read(order, technician, at):
    def reading(point, board="ZB-1", revision=""):
        measured = dataclasses.replace(OPEN_LINE, point=point, board=board, revision=revision)
        key = f"{point} {board} {revision}"
        return diagnosis.take_reading(order=order, measured=measured, key=key, by=technician, at=at)

    return reading


@pytest.fixture
def act(technician, at):
    return {"by": technician, "at": at}


def find(order, act, **changes):
    found = Found(**{**FOUND, **changes})
    return diagnosis.record_finding(order=order, seen_version=order.version, found=found, key="f", **act)


def names(kind):
    return set(ListWord.objects.filter(kind=kind).values_list("name", flat=True))


def uses(kind):
    return {entry.name: dict(entry.uses) for entry in word_uses.entries(kind)}


def test_lists_grow_by_readings(read):
    read("Boost out", revision="A")
    read("boost-out", board="zb 1", revision="a")
    assert (names(BOARD), names(REVISION), names(POINT)) == ({"ZB-1"}, {"A"}, {"Boost out"})
    assert ListWord.objects.get(kind=POINT).within == ListWord.objects.get(kind=BOARD)


def test_the_same_point_on_two_boards_is_two_words(read):
    read("Boost out", board="ZB-1")
    read("Boost out", board="QB-7")
    assert set(ListWord.objects.filter(kind=POINT).values_list("within__name", flat=True)) == {"ZB-1", "QB-7"}


def test_point_without_a_board_stands_on_top(read):
    read("Boost out", board="")
    assert ListWord.objects.get().within is None


def test_lists_grow_by_findings(order, act):
    find(order, act, explains=("Nobody hears me",))
    assert names(FAULT) == {FOUND["fault_class"]}
    assert names(SYMPTOM) == {"Nobody hears me"} and names(FAMILY) == {order.device.family}


def test_learning_what_is_known_asks_once(read, act, django_assert_num_queries):
    read("Boost out", revision="A")
    with django_assert_num_queries(1):
        word_lists.learn_reading(board="ZB-1", revision="A", point="boost out", **act)


def test_merge_counts_readings_under_the_word_that_stays_and_keeps_what_was_typed(read, act):
    read("boost out")
    read("boost exit")
    out, other = (ListWord.objects.get(kind=POINT, name=name) for name in ("boost out", "boost exit"))
    word_changes.merge(word=other, into=out, **act)
    assert uses(POINT) == {"boost out": {"reading": 2}}
    assert set(Reading.objects.values_list("point", flat=True)) == {"boost out", "boost exit"}
    assert word_lists.canonical(POINT, "Boost exit", "ZB-1") == "boostout"
    assert word_lists.canonical(POINT, "Boost exit", "another") == "boostexit"
    word_changes.take_merge_back(word=other, **act)
    assert uses(POINT) == {"boost out": {"reading": 1}, "boost exit": {"reading": 1}}


def test_merge_the_other_way_round_is_refused(act):
    one, two, three = (word_changes.add(kind=FAULT, name=name, **act) for name in ("one", "two", "three"))
    word_changes.merge(word=one, into=two, **act)
    word_changes.merge(word=two, into=three, **act)
    for word, into in ((three, one), (three, three)):
        with pytest.raises(Refused, match="count as one already"):
            word_changes.merge(word=word, into=into, **act)
    with pytest.raises(Refused, match="Take that back first"):
        word_changes.merge(word=one, into=three, **act)


def test_merge_across_lists_or_boards_is_refused(read, act):
    read("p", board="X")
    read("q", board="Y")
    p, q = ListWord.objects.get(name="p"), ListWord.objects.get(name="q")
    with pytest.raises(Refused, match="different boards"):
        word_changes.merge(word=p, into=q, **act)
    with pytest.raises(Refused, match="one list"):
        word_changes.merge(word=p, into=p.within, **act)
    assert not ListWord.objects.filter(merged_into__isnull=False).exists()


def test_merged_boards_share_their_points(read, act):
    read("boost out", board="ZB-1")
    read("Boost out", board="Z Board one")
    GoodReading.objects.create(
        key="g", specimen="S1", board="zb-1", point="BOOST OUT", mode="diode", polarity="red on ground",
        special="OL", typed="x", **act,
    )  # fmt: skip
    two, one = (ListWord.objects.get(kind=BOARD, name=name) for name in ("Z Board one", "ZB-1"))
    word_changes.merge(word=two, into=one, **act)
    (entry,) = word_uses.entries(POINT)
    assert (entry.board, dict(entry.uses)) == ("ZB-1", {"reading": 2, "own good board reading": 1})


def test_rename_is_a_new_word_that_the_old_one_counts_under(read, act):
    read("bost out")
    old = ListWord.objects.get(kind=POINT)
    word_changes.set_nominal(word=old, volts=Decimal("5.1"), **act)
    new = word_changes.rename(word=old, name="boost out", **act)
    assert new.pk != old.pk and new.within == old.within
    assert ListWord.objects.get(pk=new.pk).nominal_volts == Decimal("5.1")
    assert uses(POINT) == {"boost out": {"reading": 1}}
    assert Reading.objects.get().point == "bost out"


def test_rename_to_another_spelling_changes_the_name_alone(act):
    word = word_changes.add(kind=FAULT, name="torn  PAD", **act)
    assert word_changes.rename(word=word, name="Torn pad", **act) == word
    assert names(FAULT) == {"Torn pad"}
    with pytest.raises(Refused, match="Type the new name"):
        word_changes.rename(word=word, name="  ", **act)


def test_rename_to_a_word_that_stands_asks_for_a_merge(act):
    word = word_changes.add(kind=FAULT, name="torn pad", **act)
    word_changes.add(kind=FAULT, name="ripped pad", **act)
    with pytest.raises(Refused, match="Merge the two"):
        word_changes.rename(word=word, name="Ripped Pad", **act)


@pytest.mark.parametrize(
    "given, sentence",
    [
        ({"kind": FAULT, "name": " "}, "Type the word"),
        ({"kind": REVISION, "name": "A"}, "which board"),
        ({"kind": FAULT, "name": "TORN-PAD"}, "already, as torn pad"),
    ],
)
def test_add_that_makes_no_sense_is_refused(act, given, sentence):
    word_changes.add(kind=FAULT, name="torn pad", **act)
    with pytest.raises(Refused, match=sentence):
        word_changes.add(**given, **act)


def test_known_faults_name_doubles_once_and_retired_ones_not(act):
    for name in ("ripped pad", "odd fault"):
        word_changes.add(kind=FAULT, name=name, **act)
    torn = word_changes.add(kind=FAULT, name="torn pad", **act)
    ripped, odd = (ListWord.objects.get(name=name) for name in ("ripped pad", "odd fault"))
    word_changes.merge(word=ripped, into=torn, **act)
    word_changes.retire(word=odd, retired=True, **act)
    told = known_faults()
    assert told.count("torn pad") == 1 and not {"ripped pad", "odd fault"} & set(told)
    word_changes.retire(word=odd, retired=False, **act)
    assert "odd fault" in known_faults()


def test_remedies_merge_and_part_again(act):
    one, two = (Remedy.objects.create(name=name, minutes=10) for name in ("Wire", "Jumper"))
    word_changes.merge_remedy(remedy=one, into=two, **act)
    one.refresh_from_db()
    assert (one.active, word_changes.stays_of(one)) == (False, two)
    with pytest.raises(Refused, match="count as one"):
        word_changes.merge_remedy(remedy=two, into=one, **act)
    with pytest.raises(Refused, match="Take that back"):
        word_changes.merge_remedy(remedy=one, into=two, **act)
    with pytest.raises(Refused, match="Take that back"):
        price_rows.save_remedy(remedy=one, changes={"active": True}, **act)
    back = word_changes.take_remedy_back(remedy=one, **act)
    assert (back.active, back.merged_into) == (True, None)
    with pytest.raises(Refused, match="by itself"):
        word_changes.take_remedy_back(remedy=one, **act)


def test_every_change_of_a_list_is_in_the_history(act):
    one, two = (word_changes.add(kind=FAULT, name=name, **act) for name in ("one", "two"))
    word_changes.merge(word=one, into=two, **act)
    word_changes.take_merge_back(word=one, **act)
    told = list(HistoryEntry.objects.order_by("seq").values_list("what", flat=True))
    assert told == ["list word added", "list word added", "list words merged", "list words parted"]
    assert HistoryEntry.objects.get(what="list words merged").facts["double"] == "one"
