"""Readings are added, never edited; a finding signs 30 and says where the sheet goes."""

import dataclasses
from decimal import Decimal

import pytest

from intake import lifecycle
from intake.lifecycle import SheetMoved, staff
from intake.models import HistoryEntry, Letter, Order
from intake.stations import Outcome, SlipReason, Station
from quotes import diagnosis
from quotes.diagnosis import Found, Measured
from quotes.models import Finding, Invoice, Reading
from quotes.refusals import Refused
from tests.bench_orders import FOUND, at_diagnosis, at_quote

pytestmark = pytest.mark.usefixtures("rates")
OPEN_LINE = Measured(
    typed="bias d OL",
    point="bias",
    mode="diode",
    special="OL",
    polarity="red on ground",
    unit="V",
    low=Decimal("0.441"),
    high=Decimal("0.461"),
    verdict="open",
)


@pytest.fixture
def order(technician, at):
    return at_diagnosis(by=technician, at=at)


def read(order, technician, at, key="r1", measured=OPEN_LINE, **other):
    return diagnosis.take_reading(order=order, measured=measured, key=key, by=technician, at=at, **other)


def find(order, technician, at, key="f1", version=None, **other):
    return diagnosis.record_finding(
        order=order,
        seen_version=order.version if version is None else version,
        found=Found(**{**FOUND, **other}),
        key=key,
        by=technician,
        at=at,
    )


def test_reading_keeps_over_limit_apart_from_numbers(order, technician, at):
    reading = read(order, technician, at)
    assert (reading.value, reading.special, reading.polarity) == (None, "OL", "red on ground")
    entry = HistoryEntry.objects.get(order=order, what="reading")
    assert entry.facts == {"point": "bias", "typed": "bias d OL", "mode": "diode"}


def test_reading_with_the_same_key_is_written_once(order, technician, at):
    assert read(order, technician, at) == read(order, technician, at)
    assert Reading.objects.count() == 1


def test_reading_that_is_wrong_is_superseded_and_stays(order, technician, at):
    wrong = read(order, technician, at)
    right = read(
        order,
        technician,
        at,
        key="r2",
        measured=dataclasses.replace(OPEN_LINE, special="", value=Decimal("0.452"), typed="bias d .452"),
        instead_of=wrong,
    )
    wrong.refresh_from_db()
    assert wrong.superseded_by == right
    assert wrong.special == "OL"


def test_reading_is_superseded_only_once(order, technician, at):
    wrong = read(order, technician, at)
    read(order, technician, at, key="r2", instead_of=wrong)
    with pytest.raises(Refused, match="replaced already"):
        read(order, technician, at, key="r3", instead_of=wrong)
    assert Reading.objects.count() == 2


def test_reading_of_another_order_cannot_be_superseded(order, technician, at):
    other = read(at_diagnosis(by=technician, at=at, key="b"), technician, at)
    with pytest.raises(Refused, match="replaced already"):
        read(order, technician, at, key="r2", instead_of=other)


def test_reading_before_the_parcel_is_here_is_refused(order, technician, at):
    Order.objects.filter(pk=order.pk).update(station=Station.GOODS_IN)
    order.refresh_from_db()
    with pytest.raises(Refused, match="while the device is here"):
        read(order, technician, at)


def test_finding_that_can_be_mended_goes_to_the_quote_without_a_bill(order, technician, at):
    find(order, technician, at, minutes=18)
    order.refresh_from_db()
    line = order.lines.get(station=Station.DIAGNOSIS)
    assert (order.station, order.outcome) == (Station.QUOTE, "")
    assert (line.initials, line.minutes, line.note) == ("TT", 18, FOUND["words"])
    assert not Invoice.objects.exists()
    assert not Letter.objects.filter(kind="nothing_to_offer").exists()


def test_finding_that_cannot_be_mended_goes_home_with_the_return_post_only(order, technician, at):
    find(order, technician, at, mendable="no")
    order.refresh_from_db()
    invoice = Invoice.objects.get(order=order)
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.NO_FIX)
    assert (invoice.net, invoice.tax, invoice.total) == (Decimal(12), Decimal(0), Decimal(12))
    letter = Letter.objects.get(kind="nothing_to_offer")
    assert [paper.title for paper in letter.papers.all()] == [f"Invoice {invoice.number}"]


def test_finding_sent_twice_signs_once(order, technician, at):
    assert find(order, technician, at) == find(order, technician, at)
    assert Finding.objects.count() == 1


def test_finding_on_an_old_page_changes_nothing(order, technician, at):
    with pytest.raises(SheetMoved):
        find(order, technician, at, version=order.version - 1)
    assert not Finding.objects.exists()
    assert Order.objects.get(pk=order.pk).station == Station.DIAGNOSIS


@pytest.mark.parametrize(
    ("given", "field"), [({"words": "  \n"}, "words"), ({"idea_answer": "none"}, "idea_answer")]
)
def test_finding_without_words_or_without_an_answer_to_the_idea_is_refused(
    order, technician, at, given, field
):
    with pytest.raises(Refused) as refused:
        find(order, technician, at, **given)
    assert refused.value.field == field


def test_finding_needs_no_answer_where_the_customer_had_no_idea(technician, at):
    order = at_diagnosis(by=technician, at=at, key="b", idea="")
    find(order, technician, at, idea_answer="none")
    assert Order.objects.get(pk=order.pk).station == Station.QUOTE


def test_finding_waits_while_the_serial_is_foreign(order, technician, at):
    lifecycle.hold(order, reason=SlipReason.WRONG_DEVICE, by=staff(technician), at=at)
    with pytest.raises(Refused, match="serial"):
        find(order, technician, at)
    lifecycle.release(order, reason=SlipReason.WRONG_DEVICE, by=staff(technician), at=at)
    assert find(order, technician, at).pk


def test_look_again_opens_a_second_visit_to_the_diagnosis(technician, at):
    order = at_quote(by=technician, at=at)
    diagnosis.look_again(order=order, seen_version=order.version, by=technician, at=at)
    visits = order.lines.filter(station=Station.DIAGNOSIS).values_list("visit", "signed_at")
    assert list(visits) == [(1, at), (2, None)]
