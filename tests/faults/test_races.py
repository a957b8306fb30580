"""Several at once, in processes of their own: exactly one effect, the others told gently, no lock error.

The same tests run on the SQLite file and on PostgreSQL; each of the two hides faults that the other shows.
"""

import secrets
from collections import Counter

import pytest

pytestmark = [pytest.mark.faults, pytest.mark.long]


@pytest.fixture
def many(size) -> int:
    """Rounds, each of four processes that start together."""
    return size(20, 1000)


def no_errors(rounds: list) -> None:
    assert not [result for row in rounds for result in row if str(result).startswith("error")]


def test_four_answers_at_once_decide_once(nurse, many):
    quotes = nurse.call("ready_quotes", count=many)
    rounds = nurse.race("decide", quotes, racers=4)
    no_errors(rounds)
    assert all(Counter(row) == {"done": 1, "AlreadyDecided": 3} for row in rounds)
    for after in nurse.each("quote_after", pk=quotes):
        assert after.pop("station") in (60, 80)
        assert after == {"ends": 1, "decisions": 1, "letters": 1, "open_lines": 1}


def test_answer_and_revision_at_once_leave_one_of_the_two(nurse, many):
    quotes = nurse.call("ready_quotes", count=many)
    rounds = nurse.race("decide_or_revise", quotes, racers=4)
    no_errors(rounds)
    for after, (answered, *revised) in zip(nurse.each("quote_after", pk=quotes), rounds, strict=True):
        assert revised.count("done") == (answered != "done")
        assert set(revised) <= {"done", "SheetMoved", "IllegalMove"}
        if answered == "done":
            assert (after["station"], after["decisions"]) == (60, 1)
        else:
            assert answered == "BeingRewritten"
            assert (after["station"], after["decisions"], after["ends"]) == (40, 0, 0)


def test_answer_and_lapse_at_once_end_the_quote_once(nurse, many):
    quotes = nurse.call("ready_quotes", count=many)
    rounds = nurse.race("decide_or_lapse", quotes, racers=4)
    no_errors(rounds)
    for after, row in zip(nurse.each("quote_after", pk=quotes), rounds, strict=True):
        assert row == ["done", "Lost", "Lost", "Lost"] or Counter(row) == {"Lapsed": 1, "done": 1, "Lost": 2}
        assert (after["ends"], after["letters"]) == (1, 1)
        assert after["decisions"] == (row[0] == "done")


@pytest.mark.parametrize(("deed", "left"), [("reserve_last", [1, 1, 1]), ("take_last", [0, 0, 1])])
def test_last_part_goes_to_one_of_four(nurse, many, deed, left):
    subjects = nurse.call("ready_parts", count=many, tag=deed)
    rounds = nurse.race(deed, subjects, racers=4)
    no_errors(rounds)
    assert all(Counter(row) == {"done": 1, "NotEnough": 3} for row in rounds)
    assert nurse.each("part_after", pk=[part for part, _ in subjects]) == [left] * many


def test_numbers_drawn_by_four_have_no_gap_and_no_double(nurse, many):
    rounds = nurse.race("raced_number", list(range(many)), racers=4)
    no_errors(rounds)
    numbers = sorted(number for row in rounds for number in row)
    assert numbers == list(range(numbers[0], numbers[0] + 4 * many))


def test_two_clocks_post_the_report_of_a_month_once(nurse):
    months = [f"{year}-{month:02}" for year in (2024, 2025) for month in range(1, 11)]
    rounds = nurse.race("post_month", months, racers=2)
    no_errors(rounds)
    assert all(sorted(row) == ["done", "known"] for row in rounds)
    # One letter to the shop's own address and one to its owner, both with the same paper.
    assert nurse.each("month_after", month=months) == [[1, 2, 1]] * len(months)


def test_form_posted_five_times_at_once_makes_one_order(nurse, many):
    tag = secrets.token_hex(4)
    keys = [f"raced-{tag}-{number}" for number in range(many)]
    rounds = nurse.race("post_form", keys, racers=5)
    no_errors(rounds)
    assert all(len(set(row)) == 1 for row in rounds)
    assert nurse.each("form_after", form_key=keys) == [[1, 1]] * many


def test_four_sign_goods_in_once(nurse, many):
    orders = nurse.call("ready_requests", count=many)
    rounds = nurse.race("take_in", orders, racers=4)
    no_errors(rounds)
    assert all(Counter(row) == {"done": 1, "SheetMoved": 3} for row in rounds)
    assert nurse.each("order_after", pk=orders) == [[30, 3, 1]] * many


def test_payment_posted_four_times_at_once_is_booked_once(nurse, many):
    orders = nurse.call("ready_requests", count=many)
    rounds = nurse.race("pay_once", orders, racers=4)
    no_errors(rounds)
    assert all(row == ["done"] * 4 for row in rounds)
    assert nurse.each("payments_after", pk=orders) == [1] * many


def test_history_has_no_fork_and_no_gap_after_racing(nurse):
    orders = nurse.call("ready_requests", count=4)
    no_errors(nurse.race("take_in", orders, racers=4))
    assert nurse.call("chain") is None
