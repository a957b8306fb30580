"""Margins of the demo's invented world: twelve orders and their sums, to the cent, recomputed once in another program."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.books.margin_maths import Minutes, OrderMoney, added_up, payment_fee, per_hour, waterfall

# number, labour, parts, rush, post, total, paid, part cost, post cost, card, other cost, minutes, cash margin, full margin
TABLE = """
Q-1001  96.00   4.00  0.00 12.00 112.32 112.32  0.09  9.40  3.56   0.00 18/42/15/12   98.95   38.05
Q-1002  80.00   2.00 35.00 12.00 129.16 129.16  0.03  9.40  4.05   0.00 14/20/15/10  115.52   74.22
Q-1003 240.00 118.00  0.00 18.00 385.44 385.44 70.10 14.20 11.78   0.00 55/130/40/25 279.92  104.92
Q-1004 220.00   9.00  0.00 12.00 241.72 241.72  6.20  9.40  7.31   0.00 62/95/20/20  218.09   80.19
Q-1005   0.00   0.00  0.00 12.00  12.00  12.00  7.40  9.40  0.65   0.00 70/55/0/12    -5.45 -101.35
Q-1006   0.00   0.00  0.00 12.00  12.00  12.00  0.00  9.40  0.65 140.00 48/0/0/14   -138.05 -181.45
Q-1007   0.00   0.00  0.00  0.00   0.00   0.00  0.00  0.00  0.00   0.00 25/0/0/16      0.00  -28.70
Q-1008   0.00   0.00  0.00  0.00   0.00   0.00  0.00  0.00  0.00   0.00 30/0/0/15      0.00  -31.50
Q-1009   0.00   0.00  0.00  0.00   0.00   0.00  0.00  0.00  0.00   0.00 20/0/0/18      0.00  -26.60
Q-1010 110.00   6.00  0.00 12.00 128.48 128.48  1.20  9.40  4.03  15.00 22/35/15/40   98.37   19.97
Q-1011 210.00  15.00  0.00 18.00 243.00   0.00  5.80 14.20  0.00  19.00 85/126/40/18 204.00   15.70
Q-1012   0.00   0.00  0.00  0.00   0.00   0.00  0.10  9.40  0.00   0.00 12/25/20/8    -9.50  -55.00
"""
ROWS = [line.split() for line in TABLE.strip().splitlines()]
RATE = D("0.70")


def minutes_of(row):
    return Minutes(*(int(part) for part in row[11].split("/")))


def waterfall_of(row):
    labour, parts, rush, post, _, _, part_cost, post_cost, card, other = (D(text) for text in row[1:11])
    money = OrderMoney(labour + parts + rush + post, part_cost, post_cost, card, other, minutes_of(row).all)
    return waterfall(money, cost_per_minute=RATE, currency="USD")


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_margins_of_the_invented_orders(row):
    found = waterfall_of(row)
    assert (str(found.cash_margin), str(found.full_margin)) == (row[12], row[13])


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_card_fees_of_the_invented_orders(row):
    """2.9 % and 0.30 of each card payment; Q-1003 was paid in two: a deposit of 31.00 and the rest."""
    paid = [D("31.00"), D(row[6]) - 31] if row[0] == "Q-1003" else [D(row[6])]
    fees = [payment_fee(amount, percent=D("2.9"), fixed=D("0.30"), currency="USD") for amount in paid]
    assert sum(fees) == D(row[9])


def test_the_sums_of_the_invented_month():
    found = added_up([waterfall_of(row) for row in ROWS], currency="USD")
    assert found.billed_net == D("1253.00")
    assert found.parts_cost == D("90.92")
    assert found.post_cost == D("94.20")
    assert found.payment_fees == D("32.03")
    assert found.other_cost == D("19.00") + D("155.00")
    assert found.cash_margin == D("861.85")
    assert found.minutes == 1362
    assert found.full_margin == D("-91.55")
    assert per_hour(found.cash_margin, found.minutes, currency="USD") == D("37.97")


def test_the_minutes_of_the_invented_month_by_what_they_went_into():
    spent = [minutes_of(row) for row in ROWS]
    assert [sum(getattr(one, what) for one in spent) for what in ("look", "repair", "test", "admin")] == [
        461,
        528,
        165,
        208,
    ]


def test_the_hour_without_the_lost_parcel_and_the_dispute():
    assert per_hour(D("861.85") + D("155.00"), 1362, currency="USD") == D("44.80")


def test_no_minutes_earn_no_hourly_figure():
    assert per_hour(D(5), 0, currency="USD") is None


def test_what_is_not_money_or_time_is_refused():
    with pytest.raises(TypeError):
        waterfall(OrderMoney(1.5, D(0), D(0), D(0), D(0), 0), cost_per_minute=RATE, currency="USD")
    with pytest.raises(ValueError, match="below nought"):
        waterfall(OrderMoney(D(0), D(0), D(0), D(0), D(0), -1), cost_per_minute=RATE, currency="USD")


MONEY = st.decimals(-1000, 1000, places=2)


@given(st.lists(st.builds(OrderMoney, MONEY, MONEY, MONEY, MONEY, MONEY, st.integers(0, 500)), max_size=6))
def test_steps_add_up_for_one_and_for_all(orders):
    rows = [waterfall(order, cost_per_minute=RATE, currency="USD") for order in orders]
    for found in [*rows, added_up(rows, currency="USD")]:
        assert sum(amount for _, amount in found.steps()) == found.full_margin
        assert found.full_margin == found.cash_margin - found.bench_cost
