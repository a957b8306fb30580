"""The plan of the made orders: when each day was, whose each is, what it came back from."""

import pytest

from shop.bulk.plan import AT_MOST_HERE, Kind, plan

MENDED = Kind(days=8, weight=60, mended=True)
KINDS = [
    MENDED, Kind(days=6, weight=20), Kind(days=8, weight=8, comeback=True), Kind(days=9, weight=8, trade=True, mended=True),
    Kind(days=2, weight=0, recent=True), Kind(days=5, weight=0, recent=True),
]  # fmt: skip
LAST = 700


def drawn(orders=2000, seed=7, **more):
    return plan(KINDS, orders=orders, customers=(400, 5), last=LAST, seed=seed, **more)


def test_plan_of_the_same_seed_is_the_same():
    assert drawn() == drawn()
    assert drawn() != drawn(seed=8)


def test_days_only_go_forward_and_end_by_the_last():
    for one in drawn():
        assert one.days[0] == 0
        assert all(later > earlier for earlier, later in zip(one.days, one.days[1:], strict=False))
        assert one.start >= 0
        assert one.end <= LAST


def test_orders_come_by_the_day_they_begin():
    starts = [one.start for one in drawn()]
    assert starts == sorted(starts)


def test_one_in_twenty_is_still_here_and_never_more_than_the_most():
    here = [one for one in drawn() if KINDS[one.mould].recent]
    assert len(here) == 100
    many = sum(KINDS[one.mould].recent for one in drawn(orders=30_000))
    assert many == AT_MOST_HERE


def test_what_is_still_here_began_lately():
    assert all(one.start > LAST - 60 for one in drawn() if KINDS[one.mould].recent)


def test_comeback_follows_a_mended_order_of_the_same_customer():
    orders = drawn()
    pinned = [one for one in orders if one.before >= 0]
    assert len(pinned) > 50
    for one in pinned:
        first = orders[one.before]
        assert KINDS[first.mould].mended
        assert first.customer == one.customer
        assert first.end + 5 <= one.start + one.days[2] <= first.end + 70


def test_orders_of_the_trade_belong_to_its_customers():
    for one in drawn():
        if one.before < 0:
            assert (one.customer >= 400) == KINDS[one.mould].trade


@pytest.mark.parametrize("orders", [1, 2, 7])
def test_few_orders_are_planned_whole(orders):
    assert len(drawn(orders=orders)) == orders
