"""Hours and days as people type them."""

import datetime as dt

import pytest

from shop.books.hours_text import days_from, days_said, hours_from, hours_said


@pytest.mark.parametrize("typed", ["09:00 to 17:30", "9-17:30", " 9.00 – 17.30 ", "9 until 17:30"])
def test_hours_as_people_type_them(typed: str) -> None:
    assert hours_from(typed) == (dt.time(9), dt.time(17, 30))


def test_closed_midnight_and_back() -> None:
    assert hours_from("") is None and hours_from("Closed") is None
    assert hours_from("18 to 24") == (dt.time(18), dt.time())
    assert hours_said(hours_from("9-17")) == "09:00 to 17:00"
    assert hours_said(None) == ""


@pytest.mark.parametrize("typed", ["nine", "25 to 26", "9:75 to 10", "9", "9 to 9", "9 to 17 and 18 to 19"])
def test_other_words_are_refused_with_a_sentence(typed: str) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        hours_from(typed)


def test_days_one_a_line_and_spans() -> None:
    found = days_from("2026-08-05\n\n 2026-08-03 to 2026-08-04 \n2026-12-24\n2026-08-03")
    assert [day.isoformat() for day in found] == ["2026-08-03", "2026-08-04", "2026-08-05", "2026-12-24"]
    assert days_said(found) == "2026-08-03 to 2026-08-05\n2026-12-24"
    assert days_from(days_said(found)) == found


@pytest.mark.parametrize(
    "typed", ["3 August", "2026-02-30", "2026-08-04 to 2026-08-03", "2026-01-01 to 2028-01-01"]
)
def test_days_that_cannot_be_read_name_their_line(typed: str) -> None:
    with pytest.raises(ValueError, match=typed[:10]):
        days_from(typed)
