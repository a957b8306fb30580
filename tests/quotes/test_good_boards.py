"""Good boards kept apart and the meters: taken once, struck with a reason, offsets only added."""

from datetime import timedelta
from decimal import Decimal as D

import pytest
from django.db import DatabaseError, transaction

from intake.models import HistoryEntry
from quotes import good_boards
from quotes.good_boards import GoodLine
from quotes.models import GoodReading, ListWord, MeterOffset
from quotes.refusals import Refused

ABOUT = GoodLine(specimen="Shelf 1", board="Z7 main", revision="B", state="on supply", meter="Blue")


@pytest.fixture
def take(technician, at):
    def put(line="PP1V8 d .452", key="k", **other):
        return good_boards.take_good(
            **{"about": ABOUT, "line": line, "key": key, "by": technician, "at": at, **other}
        )

    return put


def test_a_line_is_a_whole_reading(take):
    row = take()
    assert (row.specimen, row.board, row.point, row.mode, row.polarity, row.value, row.meter) == (
        "Shelf 1", "Z7 main", "PP1V8", "diode", "red on ground", D("0.452"), "Blue",
    )  # fmt: skip
    assert set(ListWord.objects.values_list("kind", "name")) == {
        ("board", "Z7 main"), ("revision", "B"), ("point", "PP1V8"),
    }  # fmt: skip
    assert HistoryEntry.objects.filter(what="good reading").count() == 1


def test_a_state_in_the_line_goes_before_the_one_that_stayed(take):
    assert take("PP1V8 v 1.8 booted").state == "booted"
    assert take("PP1V8 v 1.8", key="l").state == "on supply"


def test_the_same_key_writes_once(take):
    assert take().pk == take().pk
    assert GoodReading.objects.count() == 1


@pytest.mark.parametrize(
    ("about", "line", "field"),
    [
        (GoodLine("", "Z7 main"), "x d .4", "specimen"),
        (GoodLine("Shelf 1", " "), "x d .4", "board"),
        (ABOUT, "x", "line"),
        (ABOUT, "x d unstable", "line"),
    ],
)
def test_what_is_missing_is_refused_at_its_field(take, about, line, field):
    with pytest.raises(Refused) as refusal:
        take(line, about=about)
    assert refusal.value.field == field
    assert not GoodReading.objects.exists()


def test_a_reading_is_struck_once_and_with_a_reason(take, technician, at):
    row = take()
    with pytest.raises(Refused, match="does not count"):
        good_boards.strike(row=row, why=" ", by=technician, at=at)
    good_boards.strike(row=row, why="wrong board", by=technician, at=at)
    with pytest.raises(Refused, match="already"):
        good_boards.strike(row=row, why="again", by=technician, at=at)
    row.refresh_from_db()
    assert (row.struck_why, row.value) == ("wrong board", D("0.452"))


def test_a_meter_is_one_in_any_spelling(technician, at):
    row = good_boards.add_meter(name=" Blue  one ", note="left drawer", by=technician, at=at)
    assert row.name == "Blue one"
    for name in ("blue-one", " "):
        with pytest.raises(Refused):
            good_boards.add_meter(name=name, note="", by=technician, at=at)
    good_boards.set_active(meter=row, active=False, by=technician, at=at)
    row.refresh_from_db()
    assert not row.active


def test_an_offset_is_a_new_row_and_never_changed(technician, at):
    row = good_boards.add_meter(name="Blue", note="", by=technician, at=at)

    def put(amount, why="beside the red one", **other):
        given = {"meter": row, "mode": "diode", "amount": D(amount), "why": why, "by": technician, "at": at}
        return good_boards.set_offset(**{**given, **other})

    first = put("0.002")
    put("0.003", at=at + timedelta(days=1))
    assert row.offsets.count() == 2
    for wrong in ({"amount": "0.003"}, {"amount": "0.004", "why": ""}, {"amount": "0.1", "mode": "colour"}):
        with pytest.raises(Refused):
            put(**wrong)
    with pytest.raises(DatabaseError), transaction.atomic():
        MeterOffset.objects.filter(pk=first.pk).update(amount=D(1))


@pytest.mark.parametrize(
    ("text", "mode", "amount"),
    [
        ("0.002", "diode", "0.002"),
        ("-3m", "diode", "-0.003"),
        ("\u22120.2 ohm", "ohms", "-0.2"),
        ("+2mV", "volts", "0.002"),
        ("0", "ohms", "0"),
    ],
)
def test_an_offset_is_typed_as_at_the_bench(text, mode, amount):
    assert good_boards.offset_from(text, mode) == D(amount)


@pytest.mark.parametrize("text", ["", "OL", "x 3", "two"])
def test_an_offset_that_is_no_number_is_refused(text):
    with pytest.raises(Refused):
        good_boards.offset_from(text, "ohms")
