"""Several with one code at once, in processes of their own: one comes in."""

import pytest

pytestmark = pytest.mark.faults


@pytest.mark.long
def test_one_code_of_the_phone_lets_one_of_four_in(nurse, size):
    doors = nurse.call("ready_doors", tag="phone", count=size(2, 60))
    try:
        rounds = nurse.race("race_code", doors, racers=4)
        assert [sorted(row) for row in rounds] == [["in", "out", "out", "out"]] * len(doors)
    finally:
        nurse.call("forget_doors", tag="phone")


def test_one_line_of_the_list_lets_one_of_three_in(nurse):
    doors = nurse.call("ready_doors", tag="line", count=2)
    try:
        rounds = nurse.race("race_line", doors, racers=3)
        assert [sorted(row) for row in rounds] == [["in", "out", "out"]] * 2
    finally:
        nurse.call("forget_doors", tag="line")


def test_second_step_taken_off_while_somebody_comes_in_by_it_breaks_nothing(nurse):
    doors = nurse.call("ready_doors", tag="off", count=2)
    try:
        rounds = nurse.race("race_off_or_code", doors, racers=2)
        assert all(off == "off" and code in ("in", "out") for off, code in rounds)
    finally:
        nurse.call("forget_doors", tag="off")
