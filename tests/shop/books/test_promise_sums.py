"""Promises: kept by the day, due by the day after, and how many working hours they were missed by."""

import datetime as dt

import pytest

from shop.books.hours_maths import USUAL, calendar_over
from shop.books.promises import promise_sums
from shop.books.promises.promise_maths import EveryHour, day_end, error, standing
from shop.books.promises.shapes import Extra
from tests.shop.books.promise_lines import HOUSE, MONDAY, ZONE, books, day, line

HOURS = calendar_over(USUAL, (), ZONE, since=day(0), until=day(90))


def _figures(found, extra=None):
    return {figure.key: figure for figure in promise_sums.figures(found, extra or Extra())}


def _tables(found, extra=None):
    return {table.key: table for table in promise_sums.tables(found, extra or Extra())}


@pytest.mark.parametrize(
    ("promise", "left", "today", "expected"),
    [
        (0, 3.5, 9, ""),
        (3, 3.99, 9, "kept"),
        (3, 4.01, 9, "missed"),
        (3, 0, 3, "open"),
        (3, 0, 4, "missed"),
    ],
)
def test_standing_of_a_promise(promise, left, today, expected):
    named = promise and MONDAY + promise
    assert standing(named, line(1, left=left), today=MONDAY + today) == expected


def test_open_and_past_due_is_missed_and_open_not_due_is_left_out():
    today = MONDAY + 60
    lines = [
        line(1, left=3, first_promise=MONDAY + 3, last_promise=MONDAY + 3),
        line(2, left=5, first_promise=MONDAY + 3, last_promise=MONDAY + 5),
        line(3, first_promise=today - 1, last_promise=today + 4),
        line(4, first_promise=today, last_promise=today),
        line(5, left=3),
    ]
    found = _figures(books(*lines))
    assert (found["promise-first"].k, found["promise-first"].n) == (1, 3)
    assert found["promise-first"].behind == (1, 2, 3)
    # The one promised anew to a day that is still to come is not due by that day.
    assert (found["promise-last"].k, found["promise-last"].n) == (2, 2)
    assert found["promise-missed"].behind == (2, 3)
    assert found["promise-again"].behind == (2, 3)
    assert found["promise-to-come"].behind == (4,)


def test_a_window_that_is_over_counts_only_what_left_in_it():
    lines = [line(1, left=3, first_promise=MONDAY + 2), line(2, first_promise=MONDAY + 2)]
    found = _figures(books(*lines, until=day(30)))
    assert found["promise-first"].behind == (1,)
    assert "promise-to-come" not in found


def test_error_counts_working_hours_alone():
    # Promised for Friday the 6th, left on Monday the 9th at 10:30: an hour and a half of work late.
    late = line(1, left=7 + 10.5 / 24, first_promise=MONDAY + 4)
    assert error(day_end(late.first_promise, HOUSE), late, HOURS) == 5400
    # Left on Friday itself at 15:00: two working hours before its end.
    kept = line(2, left=4 + 15 / 24, first_promise=MONDAY + 4)
    assert error(day_end(kept.first_promise, HOUSE), kept, HOURS) == -7200
    assert error(day_end(kept.first_promise, HOUSE), kept, EveryHour()) == -9 * 3600


def test_error_figures_are_nearest_rank():
    lines = [
        line(number, left=7 + (9 + number) / 24, first_promise=MONDAY + 4, last_promise=MONDAY + 4)
        for number in range(1, 8)
    ]
    found = _figures(books(*lines), Extra(hours=HOURS, guessed=True))
    assert found["promise-error-median"].value == 4.0
    assert found["promise-error-90"].value == 7.0
    assert "guessed" in found["promise-error-median"].means
    rows = {row[0]: row[1] for row in _tables(books(*lines), Extra(hours=HOURS))["promise-errors"].rows}
    assert rows["up to a day late"] == 7
    assert sum(rows.values()) == 7


def test_months_add_up_to_the_figure():
    lines = [
        line(1, left=3, first_promise=MONDAY + 3, last_promise=MONDAY + 3),
        line(2, left=40, first_promise=MONDAY + 38, last_promise=MONDAY + 41),
        line(3, left=41, first_promise=MONDAY + 41, last_promise=MONDAY + 41),
    ]
    table = _tables(books(*lines))["promise-months"]
    assert [row[:6] for row in table.rows] == [("2026-02", 1, 1, 0, 0, 1), ("2026-03", 2, 1, 1, 1, 2)]
    assert table.sums[:6] == (None, 3, 2, 1, 1, 3)
    assert dt.date.fromordinal(MONDAY).weekday() == 0


def test_nothing_promised():
    found = _figures(books(line(1, left=3)))
    assert found["promise-first"].value is None
    assert found["promise-error-median"].value is None
    assert _tables(books(line(1, left=3)))["promise-errors"].rows == []
