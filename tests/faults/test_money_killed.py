"""Billing, numbering and payment are killed again and again: the books balance, no number is lost or used twice.

Real processes on the engine the tests run on, SIGKILL at random moments and at named points inside a transaction.
"""

import random
import signal
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.faults

KILLS = 200


def assert_balanced(now: dict) -> None:
    assert now["faults"] == []
    assert now["chain"] is None
    for kind, numbers in now["numbers"].items():
        assert numbers == list(range(1, len(numbers) + 1)), kind
        assert now["next"].get(kind, 1) == len(numbers) + 1, kind


def wait_for_more(mark: Path, than: int) -> None:
    until = time.monotonic() + 20
    while mark.stat().st_size <= than and time.monotonic() < until:
        time.sleep(0.001)


def test_two_hundred_kills_leave_books_that_balance(nurse, tmp_path):
    mark = tmp_path / "steps"
    mark.touch()
    orders = nurse.call("ready_agreed", count=4)
    nurse.call("money_without_end", orders=orders, steps=8)
    before = nurse.call("money_now")
    assert_balanced(before)
    dice = random.Random(20260203)
    ways = []
    for _ in range(KILLS):
        done = mark.stat().st_size
        child = nurse.start("money_without_end", orders=orders, mark=str(mark))
        wait_for_more(mark, done)
        time.sleep(dice.uniform(0, 0.05))
        ways.append(nurse.kill(child))
    assert ways == [-signal.SIGKILL] * KILLS
    after = nurse.call("money_now")
    assert_balanced(after)
    made = len(after["numbers"]["entry"]) - len(before["numbers"]["entry"])
    assert made >= KILLS, "the children must come to their work before they die"


@pytest.mark.parametrize(
    "point", ["after the number", "at the invoice", "at the entry", "at the payment", "at the history"]
)
def test_death_inside_a_transaction_takes_all_of_it_along(nurse, point):
    orders = nurse.call("ready_agreed", count=1)
    child = nurse.start("money_and_die", orders=orders, point=point)
    assert nurse.ended(child) == -signal.SIGKILL
    assert_balanced(nurse.call("money_now"))
    done = nurse.call("money_without_end", orders=orders, steps=6)
    assert set(done) <= {"billed", "paid", "credited", "refunded", "made good", "billed again"}
    assert_balanced(nurse.call("money_now"))
