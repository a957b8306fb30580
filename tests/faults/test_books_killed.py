"""The plug is pulled while an order leaves, and sixteen write to one day: lines and sums are what the papers say."""

import signal

import pytest

from tests.faults.test_races import no_errors

pytestmark = pytest.mark.faults


@pytest.mark.parametrize("point", ["before the line", "at the line", "at the sums", "on the way home"])
def test_death_while_an_order_leaves_keeps_books_and_sheet_together(nurse, point):
    (order,) = nurse.call("ready_packed", count=1)
    child = nurse.start("leave_and_die", order_pk=order, point=point)
    assert nurse.ended(child) == -signal.SIGKILL
    after = nurse.call("books_now")
    assert after["faults"] == []
    assert order not in after["lines"]
    assert nurse.call("leave", order_pk=order) == "left"
    at_last = nurse.call("books_now")
    assert at_last["faults"] == []
    assert order in at_last["lines"]


def test_sixteen_at_once_leave_and_cost_on_one_day_and_each_counts_once(nurse):
    orders = nurse.call("ready_packed", count=3)
    before = nurse.call("books_now")
    left = nurse.race("leave", orders, racers=4)
    no_errors(left)
    assert all(sorted(row) == ["left", "left before", "left before", "left before"] for row in left)
    no_errors(nurse.race("cost_more", orders, racers=16))
    after = nurse.call("books_now")
    assert after["faults"] == []
    assert len(after["lines"]) == len(before["lines"]) + len(orders)
    assert after["losses"] - before["losses"] == len(orders) * 100 * sum(range(1, 17))
