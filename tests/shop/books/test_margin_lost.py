"""What lost money: the items add up to the figure, whatever was lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.books.lines import Line
from shop.books.margin import burden_maths, lost_maths, sums
from shop.books.margin.shapes import Extra
from tests.shop.books import margin_lines as made

EXTRA = Extra(lost=frozenset({1006}), disputed=frozenset({1010}), words={1006: ("Lost parcel",)})


@given(made.MANY, st.integers(0, 900))
def test_listed_items_add_up_to_the_figure(lines: list[Line], short: int) -> None:
    """The figure counted again from the lines alone: written-down losses, and what each order lacked without them."""
    extra = Extra(stock_short=short)
    books = made.books(lines)
    counted = short
    for line in lines:
        gone_now = made.SINCE <= line.left < made.UNTIL
        if gone_now or (line.left == 0 and line.answer in ("lapsed", "declined")):
            written = max(0, line.losses)
            counted += written + max(0, -(line.cash - line.bench + written))
    figure = {one.key: one for one in sums.figures(books, extra)}["margin-lost"]
    tables = {one.key: one for one in sums.tables(books, extra)}
    assert figure.value == counted
    for key in ("margin-lost-top", "margin-lost-all", "margin-lost-kinds"):
        assert sum(row[-1] for row in tables[key].rows) == counted
        assert not tables[key].rows or tables[key].sums[-1] == counted
    assert len(tables["margin-lost-top"].rows) <= lost_maths.LISTED + 1


@given(made.MANY)
def test_no_item_is_nought_or_without_a_reason(lines: list[Line]) -> None:
    for item in lost_maths.items(lines, Extra()):
        assert item.amount > 0
        assert item.why and item.kind in lost_maths.KINDS


@given(made.MANY)
def test_lost_holds_every_full_margin_below_nought(lines: list[Line]) -> None:
    below = sum(-line.full for line in lines if lost_maths.is_over(line) and line.full < 0)
    assert lost_maths.lost(lines, Extra()) >= below


def test_invented_month_lost_most_by_its_parcel() -> None:
    """Trade's own list: parcel 140.00, Q-1005 101.35, Q-1012 55.00."""
    found = lost_maths.items(made.twelve(), EXTRA)
    assert [(item.order, item.amount, item.kind) for item in found[:3]] == [
        (1006, 14_000, "parcel"),
        (1005, 10_135, "no fix"),
        (1012, 5_500, "warranty"),
    ]
    assert found[0].why == "Lost parcel"
    assert (1010, "dispute", 1_500) in [(item.order, item.kind, item.amount) for item in found]


@pytest.mark.parametrize(
    ("changes", "kind"),
    [
        ({"outcome": "own damage"}, "damage"),
        ({"comeback_of": 4, "cause": "lot"}, "warranty"),
        ({"comeback_of": 4, "cause": "new"}, "underpriced"),
        ({"outcome": "no fix"}, "no fix"),
        ({"outcome": "declined", "answer": "declined"}, "declined"),
        ({"outcome": "recycled", "answer": "declined"}, "declined"),
        ({"outcome": "", "left": 0, "answer": "lapsed"}, "unanswered"),
        ({"outcome": "unclaimed", "answer": "lapsed"}, "unanswered"),
        ({}, "underpriced"),
    ],
)
def test_kind_of_what_an_order_lacked(changes: dict[str, object], kind: str) -> None:
    (item,) = lost_maths.items([made.line(bench=500, **changes)], Extra())
    assert (item.kind, item.amount) == (kind, 500)


def test_reason_of_a_comeback_names_its_cause() -> None:
    (item,) = lost_maths.items([made.line(bench=5, comeback_of=4, cause="lot")], Extra())
    assert "bad lot" in item.why


def test_open_repair_is_no_loss_yet() -> None:
    going_on = made.line(left=0, outcome="", answer="accepted", bench=900)
    assert lost_maths.items([going_on], Extra()) == []
    assert burden_maths.in_window(made.books([going_on])) == [going_on]


def test_others_stand_in_one_sum() -> None:
    found = lost_maths.items([made.line(number, bench=number) for number in range(1, 14)], Extra())
    listed = lost_maths.listed(found)
    assert [item.amount for item in listed.items] == list(range(13, 3, -1))
    assert (listed.others, listed.others_amount, listed.total) == (3, 6, 91)
