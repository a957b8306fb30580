"""The one door: what it signs, what it refuses, and that an act belongs to its station."""

import pytest

from intake import lifecycle, submissions
from intake.lifecycle import CUSTOMER, IllegalMove, SheetMoved
from intake.models import HistoryEntry, Order, Slip
from intake.stations import MOVES, SlipReason, Station
from quotes import diagnosis, offers
from shop.bench import testing
from shop.returns import out
from tests import walk

pytestmark = pytest.mark.usefixtures("bench")


@pytest.fixture
def order(bench, at):
    return walk.request(at=at)


def test_advance_signs_the_open_line_and_opens_the_next(order, bench, at):
    lifecycle.advance(
        order,
        to=Station.DIAGNOSIS,
        seen_version=1,
        by=lifecycle.staff(bench.technician),
        at=at,
        note="Parcel sound.",
        minutes=6,
    )
    signed, opened = order.lines.get(station=20), order.lines.get(station=30)
    assert (signed.initials, signed.minutes, signed.note, signed.signed_at) == ("PD", 6, "Parcel sound.", at)
    assert opened.signed_at is None
    assert (order.station, order.version) == (30, 2)
    assert HistoryEntry.objects.latest("seq").facts["why"] == "the parcel was taken in"


def test_move_the_table_does_not_know_is_refused_and_changes_nothing(order, at):
    before = HistoryEntry.objects.count()
    for station in Station:
        if (Station.GOODS_IN, station) not in MOVES:
            with pytest.raises(IllegalMove):
                lifecycle.advance(order, to=station, seen_version=1, by=CUSTOMER, at=at)
    assert Order.objects.get(pk=order.pk).station == 20
    assert HistoryEntry.objects.count() == before


def test_old_page_is_refused(order, at):
    for seen in (0, 2):
        with pytest.raises(SheetMoved):
            lifecycle.advance(order, to=Station.DIAGNOSIS, seen_version=seen, by=CUSTOMER, at=at)


def test_touch_takes_the_version_once(order):
    other = Order.objects.get(pk=order.pk)
    lifecycle.touch(order, seen_version=1)
    assert order.version == 2
    with pytest.raises(SheetMoved):
        lifecycle.touch(other, seen_version=1)


def test_second_visit_to_a_station_is_a_line_of_its_own(order, bench, at):
    walk.to(order, Station.TEST, by=bench.technician, at=at)
    testing.sign_fail(
        order=order, seen_version=order.version, by=bench.technician, at=at, note="Still silent."
    )
    assert list(order.lines.filter(station=60).values_list("visit", flat=True)) == [1, 2]


def test_slip_of_a_reason_is_there_once_and_comes_off_once(order, at):
    first = lifecycle.hold(order, reason=SlipReason.PART, by=CUSTOMER, at=at)
    assert lifecycle.hold(order, reason=SlipReason.PART, by=CUSTOMER, at=at) == first
    assert lifecycle.release(order, reason=SlipReason.PART, by=CUSTOMER, at=at)
    assert not lifecycle.release(order, reason=SlipReason.PART, by=CUSTOMER, at=at)
    assert Slip.objects.count() == 1
    assert list(HistoryEntry.objects.filter(what__in=["held", "let go"]).values_list("what", flat=True)) == [
        "held",
        "let go",
    ]


# The table of moves knows each of these moves, but as another act.
STRAY = [
    (Station.GOODS_OUT, "delivered"),
    (Station.GOODS_IN, "delivered"),
    (Station.GOODS_OUT, "withdraw"),
    (Station.WAY_HOME, "withdraw"),
    (Station.GOODS_IN, "look again"),
    (Station.DIAGNOSIS, "reopen"),
    (Station.REPAIR, "reopen"),
    (Station.GO_AHEAD, "test failed"),
]


@pytest.mark.parametrize(("station", "act"), STRAY)
def test_act_at_a_station_it_does_not_belong_to_is_refused(order, bench, at, station, act):
    walk.to(order, station, by=bench.technician, at=at)
    given = {"order": order, "seen_version": order.version, "at": at}
    deeds = {
        "delivered": lambda: out.delivered(**given, by=bench.technician),
        "withdraw": lambda: submissions.withdraw(**given, by=CUSTOMER),
        "look again": lambda: diagnosis.look_again(**given, by=bench.technician),
        "reopen": lambda: offers.reopen(**given, by=bench.technician),
        "test failed": lambda: testing.sign_fail(**given, by=bench.technician, note="No."),
    }
    with pytest.raises(IllegalMove):
        deeds[act]()
    assert Order.objects.get(pk=order.pk).station == station
