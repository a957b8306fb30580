"""The same report, file or movement from several processes at once: one effect, on the SQLite file and on PostgreSQL."""

from collections import Counter

import pytest

pytestmark = pytest.mark.faults

ROUNDS = 6


def no_errors(rounds: list) -> None:
    assert not [result for row in rounds for result in row if str(result).startswith("error")]


def test_same_report_from_eight_at_once_books_once(nurse):
    checkouts = nurse.call("ready_checkouts", count=ROUNDS)
    rounds = nurse.race("report_paid", checkouts, racers=8)
    no_errors(rounds)
    assert all(row == ["done"] * 8 for row in rounds)
    assert all(nurse.call("checkout_after", pk=pk)[:2] == ["1", "1"] for pk in checkouts)


def test_paid_disputed_lost_and_failed_at_once_come_to_the_same_books(nurse):
    checkouts = nurse.call("ready_checkouts", count=ROUNDS)
    rounds = nurse.race("report_anything", checkouts, racers=8)
    no_errors(rounds)
    for pk in checkouts:
        kept, payments, disputes, ends, owed = nurse.call("checkout_after", pk=pk)
        assert (kept, payments, disputes, ends) == ("4", "1", "1", "1")
        assert float(owed) == 12


def test_overlapping_files_at_once_bring_each_movement_once(nurse):
    starts = [1 + 20 * number for number in range(ROUNDS)]
    rounds = nurse.race("take_file_in", starts, racers=4)
    no_errors(rounds)
    assert all(Counter(row) == {"done": 2, "Refused": 2} for row in rounds)
    assert all(nurse.call("lines_between", first=first) == [1] * 9 for first in starts)


def test_four_say_at_once_what_a_movement_is_and_one_is_heard(nurse):
    subjects = nurse.call("ready_lines", count=ROUNDS)
    rounds = nurse.race("say_what_it_is", subjects, racers=4)
    no_errors(rounds)
    assert all(Counter(row) == {"done": 1, "AlreadyMatched": 3} for row in rounds)
    for line, order in subjects:
        matches, paid, booked = nurse.call("line_after", pk=line, order=order)
        assert matches == 1 and paid == booked
