"""Quotes: the waiting apart, the silent censored, bands and months that add up."""

import pytest

from shop.books.lines import House
from shop.books.promises import answer_sums, answer_tables, work_sums
from shop.books.promises.shapes import Extra
from tests.shop.books.promise_lines import HOUSE, NOW, ZONE, books, day, line


def quoted(order, answer, *, sent=1.0, after=2.0, **fields):
    """A quote sent on a day, answered (or lapsed) so many days after."""
    answered = 0 if answer == "waiting" else day(sent + after)
    given = {
        "channel": "link" if answer in ("accepted", "declined") else "",
        "left": 0 if answer == "waiting" else 30,
    }
    return line(order, first_sent=day(sent), answered=answered, answer=answer, **(given | fields))


def _figures(found):
    return {figure.key: figure for figure in answer_sums.figures(found)}


def _table(found, key, extra=None):
    return next(table for table in answer_tables.tables(found, extra or Extra()) if table.key == key)


def test_waiting_never_counts_in_the_share():
    lines = [quoted(1, "accepted"), quoted(2, "declined"), quoted(3, "lapsed"), quoted(4, "waiting", sent=50)]
    lines += [quoted(5, "accepted", comeback_of=1), quoted(6, "")]
    found = _figures(books(*lines))
    assert (found["quote-accepted"].k, found["quote-accepted"].n) == (1, 3)
    assert found["quote-accepted"].behind == (1, 2, 3)
    assert found["quote-waiting"].behind == (4,)
    assert found["quote-lapsed"].behind == (3,)


def test_cohort_is_of_the_day_it_was_sent():
    lines = [quoted(1, "accepted", sent=5), quoted(2, "accepted", sent=45)]
    assert _figures(books(*lines, since=day(40)))["quote-accepted"].behind == (2,)
    assert _figures(books(*lines, until=day(40)))["quote-accepted"].behind == (1,)
    assert "quote-waiting-now" not in _figures(books(*lines, until=day(40)))


def test_what_waits_now_is_said_whenever_it_was_sent():
    lines = [quoted(1, "waiting", sent=2, quoted=9_600), quoted(2, "waiting", sent=50, quoted=12_000)]
    found = _figures(books(*lines, since=day(40)))
    assert found["quote-waiting"].behind == (2,)
    assert found["quote-waiting-now"].value == 2
    assert found["quote-waiting-worth"].value == 21_600
    assert found["quote-waiting-longest"].value == 58


def test_answer_time_keeps_the_silent_at_risk():
    # Answers after 1, 2 and 4 days; one silent since 3 days, one lapsed on day 21: 4/5, 3/5, then 2 at risk of which 1 answers.
    lines = [
        quoted(1, "accepted", after=1), quoted(2, "declined", after=2), quoted(3, "accepted", after=4),
        quoted(4, "waiting", sent=57), quoted(5, "lapsed", after=21),
        quoted(6, "accepted", after=0, channel="limit"),
    ]  # fmt: skip
    found = _figures(books(*lines))
    assert found["quote-answer-median"].n == 5
    assert found["quote-answered-1"].value == pytest.approx(1 / 5)
    assert found["quote-answered-3"].value == pytest.approx(2 / 5)
    assert found["quote-answered-21"].value == pytest.approx(1 - 3 / 5 / 2)
    assert found["quote-answer-median"].value == 4
    assert found["quote-answered-3"].low < 2 / 5 < found["quote-answered-3"].high
    rows = _table(books(*lines), "quote-answer-days").rows
    assert [row[:3] for row in rows] == [(1, 1, 5), (2, 1, 4), (4, 1, 2)]
    assert [row[3] for row in rows] == pytest.approx([1 / 5, 2 / 5, 7 / 10])


def test_an_answer_within_the_hour_counts_in_that_hour():
    early = quoted(1, "accepted", after=0.01)
    assert answer_sums.waited(early, NOW) == (1, True)
    assert answer_sums.waited(quoted(2, "waiting", sent=59.99), NOW) == (0, False)


@pytest.mark.parametrize(
    ("amount", "expected"),
    [(0, "0 to 50"), (5_000, "0 to 50"), (5_001, "50 to 100"), (40_000, "200 to 400"), (40_001, "over 400")],
)
def test_a_limit_belongs_to_the_band_below(amount, expected):
    assert answer_tables.band(amount, HOUSE) == expected


def test_bands_of_a_currency_without_smaller_units():
    yen = House("JPY", 0, ZONE, 1)
    assert answer_tables.band(9_600, yen) == "5000 to 10000"


def test_tables_by_fate_add_up():
    lines = [
        quoted(1, "accepted", sent=2, quoted=9_600, fault="torn pad"),
        quoted(2, "declined", sent=3, quoted=30_000, fault="torn pad"),
        quoted(3, "waiting", sent=40, quoted=4_000, fault="liquid corrosion"),
        quoted(4, "accepted", sent=41, quoted=4_000, fault="torn pad", channel="phone"),
    ]
    found = books(*lines)
    months = _table(found, "quote-cohorts")
    assert [row[:6] for row in months.rows] == [("2026-02", 2, 1, 1, 0, 0), ("2026-03", 2, 1, 0, 0, 1)]
    assert months.sums[:6] == (None, 4, 2, 1, 0, 1)
    assert months.sums[6] == pytest.approx(2 / 3)
    assert [row[0] for row in _table(found, "quote-bands").rows] == ["0 to 50", "50 to 100", "200 to 400"]
    faults = _table(found, "quote-faults")
    assert [(row[0], row[1]) for row in faults.rows] == [("torn pad", 3), ("liquid corrosion", 1)]
    assert faults.rows[1][6:] == (None, None, None)
    ways = _table(found, "quote-channels")
    assert [row[:4] for row in ways.rows] == [
        ("By the customer, on the link", 2, 1, 1), ("By phone, noted by staff", 1, 1, 0),
    ]  # fmt: skip


def test_no_fix_is_of_what_was_agreed_and_tried():
    lines = [
        quoted(1, "accepted", outcome="fixed", idea="right"),
        quoted(2, "accepted", outcome="no fix", idea="not"),
        quoted(3, "declined", outcome="declined", idea="none"),
        line(4, left=9, outcome="no fix", idea="none"),
        quoted(5, "accepted", outcome="no fix", comeback_of=1, idea="none"),
        quoted(6, "accepted", outcome="fixed", left=0, idea="none"),
    ]
    found = {figure.key: figure for figure in work_sums.figures(books(*lines))}
    assert (found["quote-no-fix"].k, found["quote-no-fix"].behind) == (1, (1, 2))
    assert (found["quote-not-mendable"].k, found["quote-not-mendable"].behind) == (1, (1, 2, 3, 4))


def test_reminders_count_only_before_the_answer():
    lines = [quoted(1, "accepted", after=9), quoted(2, "accepted", after=9), quoted(3, "waiting", sent=40)]
    told = {1: (day(5), day(30)), 3: (day(44), day(48))}
    rows = _table(books(*lines), "quote-reminders", Extra(reminders=told)).rows
    assert [row[:3] for row in rows] == [("none", 1, 1), ("1 reminder", 1, 1), ("2 reminders", 1, 0)]
