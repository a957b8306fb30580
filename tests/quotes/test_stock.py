"""On hand is the sum of the moves, what is put aside never exceeds it, and each key books once."""

from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.db.models import Sum

from intake.lifecycle import staff
from quotes import stock
from quotes.models import Move, Part
from quotes.refusals import NotEnough, Refused
from tests.bench_orders import at_diagnosis

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def order(technician, at):
    return at_diagnosis(by=technician, at=at)


@pytest.fixture
def who(technician, at):
    return {"by": staff(technician), "at": at}


def sums(part):
    """(on hand, put aside) as the moves say, after checking that the counters say the same."""
    part.refresh_from_db()
    moved = part.moves.aggregate(hand=Sum("on_hand_change"), aside=Sum("reserved_change"))
    assert (part.on_hand, part.reserved) == (moved["hand"], moved["aside"])
    return part.on_hand, part.reserved


def test_receive_moves_the_average_cost(part, who):
    stock.receive(part=part, quantity=2, unit_cost=Decimal("0.30"), key="second", **who)
    assert sums(part) == (6, 0)
    assert part.unit_cost == Decimal("0.1600")  # (4 x 0.09 + 2 x 0.30) / 6


def test_receive_with_the_same_key_books_once(part, who):
    for _ in range(2):
        stock.receive(part=part, quantity=2, unit_cost=Decimal("0.30"), key="second", **who)
    assert sums(part) == (6, 0)


@pytest.mark.parametrize(
    ("quantity", "cost", "field"), [(0, "1", "quantity"), (-3, "1", "quantity"), (1, "-0.01", "unit_cost")]
)
def test_receive_nothing_or_at_a_cost_below_nought_is_refused(part, who, quantity, cost, field):
    with pytest.raises(Refused) as refused:
        stock.receive(part=part, quantity=quantity, unit_cost=Decimal(cost), key="x", **who)
    assert refused.value.field == field
    assert sums(part) == (4, 0)


def test_reserve_more_than_is_free_says_how_many_are(part, order, who):
    stock.reserve(part=part, quantity=3, order=order, key="a", **who)
    with pytest.raises(NotEnough, match="2 wanted, 1 free in the bin") as short:
        stock.reserve(part=part, quantity=2, order=order, key="b", **who)
    assert (short.value.wanted, short.value.free) == (2, 1)
    assert sums(part) == (4, 3)


def test_reserve_with_the_same_key_books_once(part, order, who):
    for _ in range(2):
        stock.reserve(part=part, quantity=3, order=order, key="a", **who)
    assert sums(part) == (4, 3)


def test_take_uses_what_is_aside_first_and_keeps_the_cost_of_the_moment(part, order, who):
    stock.reserve(part=part, quantity=1, order=order, key="a", **who)
    move = stock.take(part=part, quantity=2, order=order, key="t", **who)
    assert (move.on_hand_change, move.reserved_change) == (-2, -1)
    assert sums(part) == (2, 0)
    stock.receive(part=part, quantity=1, unit_cost=Decimal(9), key="dear", **who)
    move.refresh_from_db()
    assert move.unit_cost == Decimal("0.09")


def test_take_never_touches_what_is_aside_for_another_order(part, order, technician, at, who):
    stock.reserve(part=part, quantity=3, order=order, key="a", **who)
    other = at_diagnosis(by=technician, at=at, key="b")
    with pytest.raises(NotEnough):
        stock.take(part=part, quantity=2, order=other, key="t", **who)
    assert sums(part) == (4, 3)


def test_take_with_the_same_key_books_once(part, order, who):
    for _ in range(2):
        stock.take(part=part, quantity=1, order=order, key="t", **who)
    assert sums(part) == (3, 0)


def test_spoiled_part_leaves_the_bin_under_its_own_name(part, order, who):
    move = stock.take(part=part, quantity=1, order=order, key="t", spoiled=True, **who)
    assert move.kind == Move.Kind.SPOIL
    assert sums(part) == (3, 0)


def test_give_back_puts_a_fitted_part_in_the_bin_again(part, order, who):
    fitted = stock.take(part=part, quantity=1, order=order, key="t", **who)
    for _ in range(2):
        stock.give_back(move=fitted, key="back", **who)
    assert sums(part) == (4, 0)


def test_give_back_of_anything_not_fitted_is_refused(part, order, who):
    aside = stock.reserve(part=part, quantity=1, order=order, key="a", **who)
    with pytest.raises(Refused, match="fitted"):
        stock.give_back(move=aside, key="back", **who)


def test_release_all_frees_what_is_aside_and_can_be_said_twice(part, order, who):
    stock.reserve(part=part, quantity=3, order=order, key="a", **who)
    for _ in range(2):
        stock.release_all(order=order, why="changed", **who)
    assert sums(part) == (4, 0)
    assert part.moves.filter(kind="release").count() == 1


def test_count_writes_the_difference_with_its_reason(part, who):
    move = stock.count(part=part, counted=2, key="c", why="two fell behind the bin", **who)
    assert (move.on_hand_change, move.why) == (-2, "two fell behind the bin")
    assert sums(part) == (2, 0)


def test_count_that_agrees_writes_nothing(part, who):
    assert stock.count(part=part, counted=4, key="c", why="", **who) is None


def test_count_below_what_is_aside_or_without_a_reason_is_refused(part, order, who):
    stock.reserve(part=part, quantity=3, order=order, key="a", **who)
    for counted, field in ((2, "counted"), (5, "why")):
        with pytest.raises(Refused) as refused:
            stock.count(part=part, counted=counted, key="c", why=" ", **who)
        assert refused.value.field == field
    assert sums(part) == (4, 3)


def test_move_cannot_be_changed_or_taken_out(part):
    for change in (lambda: part.moves.update(on_hand_change=9), lambda: part.moves.all().delete()):
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            change()
    assert sums(part) == (4, 0)


@pytest.mark.parametrize("wrong", [{"on_hand": -1}, {"reserved": 5}, {"reserved": -1}])
def test_counters_that_cannot_be_are_refused_by_the_table(part, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        Part.objects.filter(pk=part.pk).update(**wrong)
