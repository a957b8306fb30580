"""Sixteen clients at once bill, pay, credit and pay back: no number missing, none twice, and the books add up."""

from collections import Counter

import pytest

from tests.faults.test_money_killed import assert_balanced
from tests.faults.test_races import no_errors

pytestmark = pytest.mark.faults

CLIENTS = 16
STEPS = 6


def test_sixteen_clients_with_orders_of_their_own_leave_no_gap_and_no_double(nurse):
    orders = nurse.call("ready_agreed", count=CLIENTS)
    before = nurse.call("money_now")
    rounds = nurse.race("own_step", [orders] * STEPS, racers=CLIENTS)
    no_errors(rounds)
    assert [set(row) for row in rounds] == [
        {"billed"},
        {"paid"},
        {"credited"},
        {"refunded"},
        {"made good"},
        {"billed again"},
    ]
    after = nurse.call("money_now")
    assert_balanced(after)
    made = {kind: len(after["numbers"][kind]) - len(before["numbers"][kind]) for kind in after["numbers"]}
    assert made == {"invoice": 2 * CLIENTS, "credit": CLIENTS, "entry": STEPS * CLIENTS}


def test_sixteen_clients_on_one_order_bill_credit_and_pay_back_once(nurse):
    (order,) = nurse.call("ready_agreed", count=1)
    billed = nurse.race("bill_same", [order], racers=CLIENTS)
    no_errors(billed)
    assert len(set(billed[0])) == 1
    assert nurse.call("pay_too_much", pk=order) == "-5.00"
    for deed in ("refund_same", "credit_same", "bill_same_again"):
        row = nurse.race(deed, [order], racers=CLIENTS)
        no_errors(row)
        assert Counter(row[0]) == {"done": 1, "Refused": CLIENTS - 1}, deed
    assert_balanced(nurse.call("money_now"))
