"""What is owed by age, and the interest that could be asked for."""

import datetime as dt
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.statement_maths import (
    AGES,
    Movement,
    age_of,
    ageing,
    late_sum,
    month_before,
    month_end,
    next_month,
    open_bills,
    proposal,
)

DAY = dt.date(2026, 1, 31)


def bill(number, days_ago, amount, *, order=1, terms=14):
    day = DAY - dt.timedelta(days=days_ago)
    return Movement(order, number, day, D(amount), due=day + dt.timedelta(days=terms))


def less(amount, *, order=1, settles="", days_ago=0):
    return Movement(order, "", DAY - dt.timedelta(days=days_ago), -D(amount), settles=settles)


@pytest.mark.parametrize(
    ("days", "age"),
    [(0, 0), (30, 0), (31, 1), (60, 1), (61, 2), (90, 2), (91, 3), (4000, 3)],
)
def test_age_turns_the_day_after_its_last(days, age):
    assert age_of(days) == AGES[age]


def test_payment_goes_to_the_bill_that_is_due_first():
    left = open_bills([bill("B", 10, "50"), bill("A", 40, "100"), less("120")])
    assert [(row.number, row.left) for row in left] == [("B", D(30))]


def test_credit_note_undoes_its_own_invoice_first():
    left = open_bills([bill("A", 40, "100"), bill("B", 10, "50"), less("60", settles="B")])
    assert [(row.number, row.left) for row in left] == [("A", D(90))]


def test_payment_of_one_order_never_pays_another():
    left = open_bills([bill("A", 40, "100"), bill("B", 10, "50", order=2), less("70", order=2)])
    assert {(row.order, row.number, row.left) for row in left} == {(1, "A", D(100)), (2, "", D(-20))}


def test_ageing_sums_to_what_is_owed_and_knows_what_is_late():
    left = open_bills(
        [bill("A", 95, "1"), bill("B", 70, "2"), bill("C", 45, "4"), bill("D", 5, "8"), less("3", order=2)]
    )
    assert ageing(left, on=DAY) == {AGES[0]: D(5), AGES[1]: D(4), AGES[2]: D(2), AGES[3]: D(1)}
    assert late_sum(left, on=DAY) == D(7)


def test_payment_that_was_taken_back_leaves_the_bill_as_old_as_it_was():
    back = Movement(1, "", DAY, D(100))
    left = open_bills([bill("A", 95, "100"), less("100", days_ago=80), back])
    assert [(row.number, row.left, row.days_old(DAY)) for row in left] == [("A", D(100), 95)]


cents = st.integers(min_value=-50_000, max_value=50_000).filter(bool).map(lambda n: D(n) / 100)
moves = st.builds(
    lambda order, amount, days, settles: Movement(
        order, f"N{days}" if days % 3 else "", DAY - dt.timedelta(days=days), amount, settles=f"N{settles}" if amount < 0 else ""
    ),
    st.integers(1, 3), cents, st.integers(0, 120), st.integers(0, 120),
)  # fmt: skip


@given(st.lists(moves, max_size=12))
def test_what_is_left_is_the_sum_of_all_movements(rows):
    left = open_bills(rows)
    total = sum((row.amount for row in rows), D(0))
    assert sum((row.left for row in left), D(0)) == total == sum(ageing(left, on=DAY).values())
    for order in {row.order for row in left}:
        signs = {row.left > 0 for row in left if row.order == order}
        assert len(signs) == 1, "an order owes or is owed, never both"


def test_proposal_names_late_bills_only_and_nothing_without_a_percent():
    left = open_bills([bill("A", 64, "1000"), bill("B", 5, "500")])
    rows, total = proposal(left, on=DAY, percent=D("8.5"), currency="GBP")
    assert [(row.number, row.days, row.by_day) for row in rows] == [("A", 50, D("11.50"))] and total == D(
        "11.50"
    )
    assert proposal(left, on=DAY, percent=D(0), currency="GBP") == ([], D(0))


def test_months_at_the_turn_of_the_year_and_in_february():
    assert month_before(dt.date(2026, 1, 1)) == dt.date(2025, 12, 1)
    assert next_month(dt.date(2025, 12, 31)) == dt.date(2026, 1, 1)
    assert month_end(dt.date(2028, 2, 1)) == dt.date(2028, 2, 29)
