"""What figures and cells say: units, directions, few, and nothing at all."""

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from shop.books.figure_words import NOTHING, UNKNOWN, Say, month_said, percent, places, span, whole, words_for
from shop.books.figures import Figure
from shop.books.lines import House

SAY = Say(House("USD", 2, ZoneInfo("Europe/Berlin"), 7_000))
FIGURE = Figure("time-median", "Half are gone by", 4.2, "days", 31, "Days.", "Counted as here.")


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (11_800, "money", "US$118.00"), (-545, "money", "-US$5.45"), (3797, "money an hour", "US$37.97 an hour"),
        (4.2, "days", "4.2 days"), (0.25, "hours late", "0.3 hours late"), (-24.0, "hours late", "24.0 hours early"),
        (0.02, "hours late", "on time"), (75, "minutes", "1 h 15 min"),
        (1, "orders", "1 order"), (4.25, "orders", "4.3 orders"), (3, "boards", "3 boards"), (0.777, "share", "78 %"),
        (1.075, "ratio", "1.08"), (12.92, "per 100", "12.9 in 100"), (0.325, "kappa", "0.33"),
        (4.0, "days a week", "4.0 days a week"), (None, "money", NOTHING),
    ],
)  # fmt: skip
def test_value_says_its_unit(value: float | None, unit: str, said: str) -> None:
    assert SAY.value(value, unit) == said


@pytest.mark.parametrize(
    ("before", "n", "said"),
    [
        (3.1, 31, "Up from 3.1 days (31 orders)."), (5.0, 9, "Down from 5.0 days (9 orders, few)."),
        (4.24, 12, "As before, 4.2 days (12 orders)."), (None, 0, "Nothing before."), (None, None, ""),
    ],
)  # fmt: skip
def test_figure_says_which_way_it_went(before: float | None, n: int | None, said: str) -> None:
    assert SAY.before(replace(FIGURE, before=before, before_n=n)) == said


def test_count_before_is_said_without_what_it_rests_on() -> None:
    count = replace(FIGURE, unit="orders", value=12, n=12, before=7, before_n=7)
    assert SAY.before(count) == "Up from 7 orders."


def test_figure_without_a_value_says_what_it_was() -> None:
    assert SAY.before(replace(FIGURE, value=None, before=3.0, before_n=12)) == "Was 3.0 days (12 orders)."


def test_share_of_few_is_said_as_a_count() -> None:
    few = Figure(
        "quote-agreed",
        "Agreed",
        7 / 9,
        "share",
        9,
        "",
        "",
        k=7,
        low=0.4526,
        high=0.9368,
        interval="Wilson, 95 %",
    )
    assert SAY.shown(few) == "7 of 9"
    assert SAY.limits(few) == "78 %, likely between 45 % and 94 % (Wilson, 95 %)."
    assert SAY.rests(replace(few, counts="quote decided")) == "7 of 9 quotes decided"
    many = replace(few, n=90, k=70)
    assert SAY.shown(many) == "78 %"
    assert SAY.limits(many).startswith("Likely between 45 %")
    assert SAY.shown(replace(few, value=None, k=0, n=0)) == NOTHING


def test_orders_that_say_nothing_yet_are_not_nothing() -> None:
    assert SAY.shown(replace(FIGURE, value=None, n=12)) == UNKNOWN
    assert SAY.shown(replace(FIGURE, value=None, n=0)) == NOTHING


def test_earlier_and_later_are_neither_up_nor_down() -> None:
    late = replace(FIGURE, unit="hours late", value=-8.0, before=2.0, before_n=12)
    assert SAY.before(late) == "Was 2.0 hours late (12 orders)."


def test_no_money_of_no_orders_is_nothing_before() -> None:
    assert SAY.before(replace(FIGURE, unit="money", value=500, before=0, before_n=0)) == "Nothing before."


def test_month_is_said_in_words() -> None:
    assert month_said("2026-09") == "Sep 2026"
    assert [month_said(other) for other in ("2026 Q3", "2026-13", "", "All")] == [
        "2026 Q3",
        "2026-13",
        "",
        "All",
    ]


def test_limits_without_an_end_say_so() -> None:
    assert SAY.limits(replace(FIGURE, low=3.0, high=None)) == "Likely between 3.0 days and an open end."
    assert SAY.limits(FIGURE) == ""


@pytest.mark.parametrize(
    ("share", "said"), [(0, "0 %"), (1, "100 %"), (0.0042, "0.4 %"), (0.9999, "over 99 %"), (0.005, "0.5 %"), (0.015, "2 %")]
)  # fmt: skip
def test_percent_never_rounds_to_nothing_or_all(share: float, said: str) -> None:
    assert percent(share) == said


@pytest.mark.parametrize(
    ("cell", "kind", "said"),
    [
        (11_800, "money", "US$118.00"), (None, "money", ""), (0.5, "share", "50 %"), ("Zarnik", "text", "Zarnik"),
        (dt.date(2026, 2, 27).toordinal(), "day", "27 Feb 2026"), (0, "day", ""), (1_772_215_200, "moment", "27 Feb 2026, 19:00"),
        (7200, "seconds", "2.0 h"), (-1, "seconds", ""), (0.325, "kappa", "0.33"), (4.25, "days", "4.3"), (7, "orders", "7"),
    ],
)  # fmt: skip
def test_cell_is_short_for_its_head_names_the_unit(cell: float | str | None, kind: str, said: str) -> None:
    assert SAY.cell(cell, kind) == said


def test_money_of_a_fraction_is_rounded_half_up() -> None:
    assert str(whole(0.5, SAY.house)) == "0.01"
    assert str(whole(-0.4, SAY.house)) == "0.00"
    assert str(whole(5, House("KWD", 3, ZoneInfo("UTC"), 0))) == "0.005"


def test_numbers_have_no_idle_sign() -> None:
    assert places(-0.04, 1) == "0.0"
    assert places(2.25, 1) == "2.3"
    assert span(90) == "2 min" and span(200_000) == "2.3 days"
    assert words_for("delay") == ("delay", "delays") and words_for("reply") == ("reply", "replies")
