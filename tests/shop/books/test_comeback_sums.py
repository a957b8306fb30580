"""Comebacks by days at risk, lots by an exact test, ideas by counts and kappa."""

import pytest

from shop.books.lines import DAY_SECONDS
from shop.books.promises import comeback_sums, idea_sums, lot_sums
from shop.books.promises.shapes import Extra, Fitted
from shop.books.promises.sums import figures, tables
from tests.shop.books.promise_lines import NOW, books, day, line


def mended(order, *, left=1.0, home=None, **fields):
    return line(order, left=left, home=0 if home is None else day(home), outcome="fixed", **fields)


def back(order, of, *, on, cause="work"):
    return line(order, comeback_of=of, cause=cause, arrived=day(on))


def _risk(*lines, **changes):
    return {risk.line.order: risk for risk in comeback_sums.at_risk(books(*lines, **changes))}


def test_days_at_risk_begin_at_home_and_end_at_ninety_days_or_now():
    found = _risk(
        mended(1, home=3),
        mended(2),
        mended(3, home=59.5),
        line(4, left=2, outcome="no fix"),
        mended(5, left=0),
    )
    assert {order: risk.seconds / DAY_SECONDS for order, risk in found.items()} == {1: 57, 2: 59, 3: 0.5}
    later = _risk(mended(1, home=3), now=NOW + 300 * DAY_SECONDS)
    assert later[1].seconds / DAY_SECONDS == 90


def test_the_first_comeback_of_ours_ends_the_days():
    found = _risk(mended(1, home=2), back(10, 1, on=12, cause="new"), back(11, 1, on=22), back(12, 1, on=32))
    assert found[1].seconds / DAY_SECONDS == 20
    assert found[1].causes == ("new", "work")
    assert found[1].ours


def test_a_comeback_after_ninety_days_or_of_other_cause_does_not_count():
    late = _risk(mended(1, home=2), back(10, 1, on=93), now=NOW + 300 * DAY_SECONDS)
    assert not late[1].ours
    other = _risk(mended(1, home=2), back(10, 1, on=9, cause="damage"), back(11, 1, on=10, cause=""))
    assert not other[1].ours
    assert other[1].seconds / DAY_SECONDS == 58


def test_six_in_so_many_days_is_the_rate_of_the_trade():
    cells = comeback_sums.rate_cells(6, 4180 * DAY_SECONDS)
    assert [round(each, 1) for each in cells] == [12.9, 4.7, 28.1]
    assert comeback_sums.rate_cells(0, 0) == (None, None, None)


def test_figure_and_tables_of_comebacks_add_up():
    lines = [mended(1, fault="torn pad"), mended(2, fault="torn pad"), mended(3, fault="power chip")]
    lines += [back(10, 1, on=11, cause="same"), back(11, 3, on=21, cause="damage")]
    found = books(*lines)
    figure = comeback_sums.figures(found)[0]
    assert (figure.k, figure.n, figure.behind) == (1, 3, (1, 2, 3))
    assert figure.value == pytest.approx(1 / (10 + 59 + 59) * 9000)
    assert figure.low < figure.value < figure.high
    causes, faults = comeback_sums.tables(found)
    assert {row[0]: row[2] for row in causes.rows} == {
        "The same fault again": 1, "Our own work": 0, "A part of a bad lot": 0, "New damage": 1,
    }  # fmt: skip
    assert [row[:4] for row in faults.rows] == [("torn pad", 2, 69, 1), ("power chip", 1, 59, 0)]
    assert faults.sums[:4] == (None, 3, 128, 1)


def test_a_lot_is_held_against_the_same_part():
    lines = [mended(number) for number in range(1, 21)] + [
        back(30 + number, number, on=20) for number in (1, 2, 3)
    ]
    fitted = [Fitted(number, "CHG-1", "L-22", stopped=True) for number in range(1, 5)]
    fitted += [Fitted(number, "CHG-1", "L-23") for number in range(5, 15)] + [Fitted(15, "CHG-1")]
    fitted += [Fitted(16, "CAP-1", "L-30"), Fitted(16, "CAP-1", "L-30"), Fitted(99, "CAP-1", "L-31")]
    table = lot_sums.lots(books(*lines), Extra(fitted=tuple(fitted)))
    rows = {row["lot"]: row for row in table.named()}
    assert list(rows) == ["L-22", "L-23", "L-30"]
    worst = rows["L-22"]
    assert (worst["came_back"], worst["orders"], worst["others_back"], worst["others"]) == (3, 4, 0, 11)
    assert (worst["against"], worst["stopped"]) == ("same part", "stopped")
    assert worst["chance"] == pytest.approx(4 / 455)
    assert worst["together"] == pytest.approx(12 / 455)
    assert (rows["L-30"]["against"], rows["L-30"]["others"]) == ("all others", 19)


def _told(order, idea, fault, answer):
    return line(order, fault=fault, idea=answer), (order, idea)


def _ideas(*rows):
    pairs = [_told(number, *row) for number, row in enumerate(rows, start=1)]
    return books(*(each for each, _ in pairs)), Extra(ideas=dict(pair for _, pair in pairs))


def test_ideas_are_counted_and_partly_is_not_right():
    found, extra = _ideas(
        ("socket", "connector damage", "right"), ("socket", "power chip", "not"), ("battery", "power chip", "partly"),
        ("", "torn pad", "none"),
    )  # fmt: skip
    share, kappa = idea_sums.figures(found, extra)
    assert (share.k, share.n) == (1, 3)
    assert kappa.n == 3
    ideas, pairs = idea_sums.tables(found, extra)
    assert ideas.rows[0][:5] == ("socket", 2, 1, 0, 1)
    assert ideas.rows[0][-1] == "connector damage 1, power chip 1"
    assert ("battery", "power chip", 1, 0, 1) in pairs.rows


def test_an_idea_stands_for_what_it_was_right_about():
    rows = [("socket", "connector damage", "right")] * 3 + [("socket", "power chip", "not")] * 2
    rows += [("power chip", "power chip", "right"), ("power chip", "power chip", "partly")]
    found, extra = _ideas(*rows)
    agreed = idea_sums.agreed(idea_sums.told(found, extra))
    assert agreed.n == 7
    # What the finding calls right agrees, what it does not never does.
    assert agreed.agreed == pytest.approx(4 / 7)
    assert agreed.by_luck == pytest.approx((5 * 3 + 1 * 4) / 49)


def test_twenty_six_said_socket_and_six_were_right():
    rows = [("socket", "connector damage", "right")] * 6 + [("socket", "power chip", "not")] * 20
    found, extra = _ideas(*rows)
    row = next(idea_sums.tables(found, extra)[0].named())
    assert (row["said"], row["right"]) == (26, 6)
    assert (round(row["low"], 3), round(row["high"], 3)) == (0.110, 0.421)


def test_every_figure_and_table_has_a_key_of_its_own():
    found, extra = _ideas(("socket", "connector damage", "right"))
    keys = [figure.key for figure in figures(found, extra)]
    assert len(keys) == len(set(keys))
    assert all(key.startswith(("promise-", "quote-")) for key in keys)
    names = [table.key for table in tables(found, extra)]
    assert len(names) == len(set(names))
    assert all(
        len(row) == len(table.columns)
        for table in tables(found, extra)
        for row in (*table.rows, table.sums)
        if row
    )


def test_books_without_a_line():
    empty = books()
    assert all(not figure.value for figure in figures(empty, Extra()))
    assert all(not table.rows for table in tables(empty, Extra()))
