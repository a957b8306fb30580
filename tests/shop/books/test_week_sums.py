"""The weekly page's own figures, its sentence and how rows stand beside other weeks."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from shop.books.figure_words import Say
from shop.books.figures import Column, Figure, Table
from shop.books.lines import House
from shop.books.week import layout
from shop.books.week.choice import SECTIONS, Row, Section
from shop.books.week.sentence import REASONS, sentence
from shop.books.week.shapes import Told

HOUSE = House("USD", 2, ZoneInfo("UTC"), 700_000)
SAY = Say(HOUSE, "en_US")


def figure(value: float | None, **changes: object) -> Figure:
    plain = Figure("margin-billed", "Billed", value, "money", 26, "What was billed.", "Left out.", (1,))
    return replace(plain, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (Told(), "No device came and none left; no promise was due."),
        (
            Told(11, 9, 5, 2, 3, "-$12.00", -1, "parcel"),
            (
                "11 devices came, 9 left; 2 of 5 promises were missed; 3 quotes wait for an answer; "
                "the week cost more than it brought: a parcel was lost."
            ),
        ),
        (
            Told(1, 0, 1, 1, 1),
            "1 device came, none left; the one promise was missed; 1 quote waits for an answer.",
        ),
        (
            Told(0, 4, 4, 0, 0, "$80.00", 1),
            "No device came, 4 left; all 4 promises were kept; the week brought $80.00 after every cost.",
        ),
        (
            Told(2, 2, 1, 0, 0, "$0.00", 0),
            "2 devices came, 2 left; the one promise was kept; the week brought what it cost.",
        ),
        (
            Told(2, 2, 3, 1, 0, "-$1.00", -1),
            "2 devices came, 2 left; 1 of 3 promises was missed; the week cost more than it brought.",
        ),
    ],
)
def test_sentence_says_the_week(told: Told, said: str) -> None:
    assert sentence(told) == said


def test_every_kind_of_loss_has_its_reason() -> None:
    assert set(REASONS) == set(layout.KINDS)


def test_sums_of_thirteen_weeks_stand_as_one_week() -> None:
    section = Section("money", "Money", "shop:books", "Books", (Row("margin-billed", "flow"),))
    found = (
        {"margin-billed": figure(5_000, n=4)},
        {"margin-billed": figure(0)},
        {"margin-billed": figure(13_007)},
    )
    (row,) = layout.rows_of(section, found, SAY, first_note=7)
    assert [cell.text for cell in row.cells] == ["$50.00", "$0.00", "$10.01"]
    assert [cell.pale for cell in row.cells] == [True, False, False]
    assert row.note == 7


def test_rate_of_thirteen_weeks_stays_as_it_is() -> None:
    section = Section("time", "Time", "shop:books", "Books", (Row("margin-billed", "rate"),))
    rate = figure(0.875, unit="share", k=7, n=8)
    usual = figure(0.5, unit="share", k=50, n=100)
    found = ({"margin-billed": rate}, {}, {"margin-billed": usual})
    (row,) = layout.rows_of(section, found, SAY, first_note=1)
    assert [cell.text for cell in row.cells] == ["7 of 8", layout.NONE, "50 %"]


def test_what_is_of_now_has_one_cell_and_a_unit_in_its_name() -> None:
    rows = (Row("margin-billed", "now"), Row("gone", "now"))
    section = Section("quotes", "Quotes", "shop:books", "Books", rows)
    longest = figure(30.04, name="The longest has waited", unit="days")
    (row,) = layout.rows_of(section, ({"margin-billed": longest}, {}, {}), SAY, first_note=1)
    assert [cell.text for cell in row.cells] == ["30.0"]
    assert row.name == "The longest has waited, days"


def test_counts_of_thirteen_weeks_may_be_broken_and_losses_round_half_up() -> None:
    assert layout.a_week(figure(20, unit="orders")).value == pytest.approx(20 / 13)
    assert layout.a_week(figure(-13_007)).value == -1001
    assert layout.a_week(figure(None)).value is None


def test_shortened_table_keeps_its_sum() -> None:
    columns = (
        Column("order", "Order", "order"),
        Column("why", "Why", "text"),
        Column("amount", "Lost", "money"),
    )
    table = Table(
        "t", "T", "", columns, [(1, "a", 50), (2, "b", 30), (3, "c", 20), (4, "d", 1)], ("", "", 101)
    )
    short = layout.shortened(table, ["order", "why", "amount"], 2)
    assert list(short.rows) == [(1, "a", 50), (2, "b", 30), ("2 others", layout.BLANK, 21)]
    assert sum(int(row[-1] or 0) for row in short.rows) == 101
    assert list(layout.shortened(table, ["order", "amount"], 3).rows)[-1] == ("1 other", 1)
    assert layout.shortened(table, ["order", "why", "amount"], 4).rows == table.rows


def test_sentence_is_told_from_the_figures() -> None:
    week = {
        "time-arrivals": figure(3, unit="orders"),
        "time-departures": figure(2, unit="orders"),
        "quote-waiting-now": figure(2, unit="orders"),
        "margin-full": figure(-4_200),
        "promise-first": figure(0.5, unit="share", k=2, n=4),
    }
    told = layout.told(week, [("Not mended", 1, 900), ("Lost parcels", 1, 14_000)], SAY)
    assert told == Told(3, 2, 4, 2, 2, SAY.money(-4_200), -1, "parcel")


def test_no_figure_stands_twice_on_the_page() -> None:
    keys = [row.key for section in SECTIONS for row in section.rows]
    assert len(keys) == len(set(keys))
