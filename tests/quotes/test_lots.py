"""Lots: numbers, what is taken from which, what a stopped one refuses, and sums that always agree."""

from contextlib import suppress
from decimal import Decimal
from itertools import count

import pytest
from django.db.models import Sum
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.lifecycle import staff
from intake.models import HistoryEntry
from quotes import lots, stock
from quotes.models import Lot, Part
from quotes.refusals import NotEnough, Refused
from tests.bench_orders import at_diagnosis

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def order(technician, at):
    return at_diagnosis(by=technician, at=at)


@pytest.fixture
def who(technician, at):
    return {"by": staff(technician), "at": at}


@pytest.fixture
def lot_of(part, technician, at, who):
    """Makes a lot of the part with so many pieces in it; the part itself has four loose ones."""

    def make(pieces: int) -> Lot:
        lot = lots.open_lot(part=part, supplier="Tin Street Parts", marks="2405", by=technician, at=at)
        stock.receive(part=part, quantity=pieces, unit_cost=Decimal("0.09"), key=lot.number, lot=lot, **who)
        part.refresh_from_db()
        return lot

    return make


def test_lots_are_numbered_on_and_a_part_of_that_number_is_passed_over(part, technician, at):
    Part.objects.create(number="l-0002", name="Odd one")
    opened = [lots.open_lot(part=part, supplier="Tin Street", marks="", by=technician, at=at) for _ in "ab"]
    assert [lot.number for lot in opened] == ["L-0001", "L-0003"]
    assert lots.lot_meant(" l-0003 ") == opened[1] and lots.lot_meant("L-9") is None


def test_lot_without_a_supplier_is_refused(part, technician, at):
    with pytest.raises(Refused) as refused:
        lots.open_lot(part=part, supplier=" ", marks="x", by=technician, at=at)
    assert refused.value.field == "supplier"


def test_taking_names_its_lot_and_the_lot_holds_what_is_left(part, order, lot_of, who):
    first, second = lot_of(2), lot_of(3)
    move = stock.take(part=part, quantity=2, order=order, key="t", lot=first, **who)
    part.refresh_from_db()
    assert (move.lot, lots.pieces_of(first), lots.pieces_of(second)) == (first, 0, 3)
    assert [(one.lot, one.pieces) for one in lots.sources(part)] == [(second, 3), (None, 4)]
    assert HistoryEntry.objects.get(what="part used").facts["lot"] == first.number


def test_lot_is_never_taken_below_nought(part, order, lot_of, who):
    lot = lot_of(1)
    with pytest.raises(Refused, match="L-0001 holds 1; 2 wanted") as refused:
        stock.take(part=part, quantity=2, order=order, key="t", lot=lot, **who)
    assert refused.value.field == "lot" and lots.pieces_of(lot) == 1


def test_without_a_lot_only_loose_pieces_are_taken(part, order, lot_of, who):
    lot_of(5)
    with pytest.raises(Refused, match=r"Say which one: L-0001 \(5\). 4 lie there without a lot"):
        stock.take(part=part, quantity=5, order=order, key="t", **who)
    assert stock.take(part=part, quantity=4, order=order, key="t", **who).lot is None


def test_lot_of_another_part_is_refused(part, order, lot_of, who):
    lot, other = lot_of(2), Part.objects.create(number="OTHER", name="Other")
    for deed in (
        lambda: stock.receive(part=other, quantity=1, unit_cost=Decimal(1), key="k", lot=lot, **who),
        lambda: stock.count(part=other, counted=3, key="k", lot=lot, why="x", **who),
    ):
        with pytest.raises(Refused, match="holds another part than OTHER"):
            deed()
    stock.receive(part=other, quantity=2, unit_cost=Decimal(1), key="loose", **who)
    with pytest.raises(Refused, match="holds another part"):
        stock.take(part=other, quantity=1, order=order, key="k", lot=lot, **who)


def test_stopped_lot_is_not_fitted_not_free_and_may_be_written_off(part, order, lot_of, technician, at, who):
    lot = lot_of(3)
    seen = Lot.objects.get(pk=lot.pk)
    lots.stop(lot=lot, why="Sample test failed: 2 of 5 open", by=technician, at=at)
    with pytest.raises(Refused, match="is stopped: Sample test failed"):
        stock.take(part=part, quantity=1, order=order, key="t", lot=seen, **who)
    with pytest.raises(NotEnough, match="5 wanted, 4 free"):
        stock.reserve(part=part, quantity=5, order=order, key="r", **who)
    assert [one.lot for one in lots.sources(part)] == [None]
    spoiled = stock.take(
        part=part, quantity=1, order=order, key="s", lot=lot, spoiled=True, why="dead", **who
    )
    assert (spoiled.kind, lots.pieces_of(lot)) == ("spoil", 2)
    with pytest.raises(Refused, match="stopped already"):
        lots.stop(lot=lot, why="again", by=technician, at=at)


def test_stopping_and_opening_again_need_words_and_are_in_the_history(part, lot_of, technician, at):
    lot = lot_of(1)
    for deed in (lots.stop, lots.open_again):
        with pytest.raises(Refused) as refused:
            deed(lot=lot, why=" ", by=technician, at=at)
        assert refused.value.field == "why"
    lots.stop(lot=lot, why="Recall", by=technician, at=at)
    lots.open_again(lot=lot, why="The recall was of another code", by=technician, at=at)
    lot.refresh_from_db()
    assert (lot.stopped_at, lot.stopped_why) == (None, "")
    told = HistoryEntry.objects.filter(what__startswith="lot ").values_list("what", flat=True)
    assert list(told) == ["lot opened", "lot stopped", "lot opened again"]


def test_what_is_aside_beyond_the_good_pieces_goes_back_newest_order_first(
    part, order, lot_of, technician, at, who
):
    lot = lot_of(2)
    later = at_diagnosis(by=technician, at=at, key="b")
    stock.reserve(part=part, quantity=3, order=order, key="a", **who)
    stock.reserve(part=part, quantity=3, order=later, key="b", **who)
    lots.stop(lot=lot, why="Recall", by=technician, at=at)
    assert stock.release_short(part=part, why="lot stopped", **who) == [later]
    assert (stock.set_aside(order), stock.set_aside(later)) == ({part.pk: 3}, {part.pk: 1})
    assert stock.release_short(part=part, why="lot stopped", **who) == []


def test_put_back_goes_into_its_lot_and_its_order_holds_no_more(part, order, lot_of, who):
    lot = lot_of(2)
    move = stock.take(part=part, quantity=2, order=order, key="t", lot=lot, **who)
    assert [(one.order, one.pieces) for one in lots.holders(lot)] == [(order, 2)]
    stock.give_back(move=move, key="back", **who)
    assert lots.pieces_of(lot) == 2 and lots.holders(lot) == []


def test_count_of_a_lot_and_of_the_whole_bin(part, lot_of, who):
    lot = lot_of(3)
    stock.count(part=part, counted=1, key="c", why="two lost", lot=lot, **who)
    part.refresh_from_db()
    assert (lots.pieces_of(lot), part.on_hand) == (1, 5)
    with pytest.raises(Refused, match="Only 4 lie there without a lot") as refused:
        stock.count(part=part, counted=0, key="d", why="gone", **who)
    assert refused.value.field == "lot"
    assert stock.count(part=part, counted=2, key="e", why="gone", **who).lot is None
    part.refresh_from_db()
    assert lots.held(part) == {lot.pk: 1, None: 1}


_runs = count()
DEEDS = st.tuples(
    st.sampled_from(["receive", "take", "spoil", "back", "count", "stop", "open", "reserve", "release"]),
    st.integers(0, 2),
    st.integers(-1, 5),
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(deeds=st.lists(DEEDS, max_size=14))
def test_sums_agree_by_lot_and_by_part_after_any_deeds(deeds, part, order, technician, at, who):
    """Whatever is done and refused: each lot is at or above nought, and lots and loose ones are the bin's count."""
    start = next(_runs)
    opened = list(Lot.objects.all()) or [
        lots.open_lot(part=part, supplier="Tin Street", marks="", by=technician, at=at) for _ in "ab"
    ]
    for place, (deed, which, number) in enumerate(deeds):
        lot, key = [None, *opened][which], f"{start}-{place}"
        with suppress(Refused):
            _do(deed, part, lot, number, order, key, who, technician)
        _agree(part, opened)


def _do(deed, part, lot, number, order, key, who, technician):
    same = {"part": part, "key": key, **who}
    if deed == "receive":
        stock.receive(quantity=number, unit_cost=Decimal("0.1"), lot=lot, **same)
    elif deed in ("take", "spoil"):
        stock.take(quantity=number, order=order, lot=lot, spoiled=deed == "spoil", **same)
    elif deed == "back":
        move = part.moves.filter(kind="consume", on_hand_change__lt=0).last()
        if move:
            stock.give_back(move=move, key=f"back:{move.pk}", **who)
    elif deed == "count":
        stock.count(counted=number, lot=lot, why="counted", **same)
    elif deed == "reserve":
        stock.reserve(quantity=max(number, 1), order=order, **same)
    elif deed == "release":
        stock.release_all(order=order, why="x", **who)
    elif lot is not None:
        (lots.stop if deed == "stop" else lots.open_again)(lot=lot, why="x", by=technician, at=who["at"])
        stock.release_short(part=part, why="x", **who)


def _agree(part, opened):
    part.refresh_from_db()
    sums = part.moves.aggregate(hand=Sum("on_hand_change"), aside=Sum("reserved_change"))
    assert (part.on_hand, part.reserved) == (sums["hand"], sums["aside"])
    in_lots = [lots.pieces_of(lot) for lot in opened]
    loose = part.moves.filter(lot__isnull=True).aggregate(sum=Sum("on_hand_change"))["sum"]
    assert min([*in_lots, loose]) >= 0 and sum(in_lots) + loose == part.on_hand
    assert 0 <= part.reserved <= part.on_hand
