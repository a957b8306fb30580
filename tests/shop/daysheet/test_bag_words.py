"""Bags in words: what is read as a bag, and how a count is said."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.daysheet.bag_words import compare, outcome, read_bag

BAGS = st.lists(st.integers(1, 30).map(lambda number: f"B-{number:02d}"))


@pytest.mark.parametrize(
    ("typed", "bag"),
    [
        ("B-07", "B-07"), ("b7", "B-07"), (" 7 ", "B-07"), ("bag 007", "B-07"), ("B-123", "B-123"), ("Bag-12", "B-12"),
        ("", ""), ("B-", ""), ("MARW-7C4X", ""), ("7 7", ""), ("123456", ""),
    ],
)  # fmt: skip
def test_bag_is_read_as_it_is_typed_or_scanned(typed: str, bag: str) -> None:
    assert read_bag(typed) == bag


@given(BAGS, BAGS)
def test_every_bag_is_in_exactly_one_place(expected: list[str], found: list[str]) -> None:
    compared = compare(expected, found)
    parts = [*compared.here, *compared.missing, *compared.extra]
    assert sorted(parts) == sorted({*expected, *found})
    assert compared.agrees == (set(expected) == set(found))


@pytest.mark.parametrize(
    ("expected", "found", "said"),
    [
        ([], [], "no bag, and none expected"),
        (["B-01"], ["B-01"], "the 1 bag is here"),
        (["B-01", "B-02"], ["B-02", "B-01", "B-01"], "all 2 here"),
        (["B-07", "B-08"], ["B-08"], "1 missing: B-07"),
        (["B-07"], ["B-07", "B-100", "B-20"], "2 not expected: B-20, B-100"),
        (["B-07"], ["B-01"], "1 missing: B-07; 1 not expected: B-01"),
        (["B-01"] + [f"B-{n}" for n in range(10, 18)], ["B-01"], "8 missing: B-10, B-11, B-12, B-13, B-14, B-15 and 2 more"),
    ],
)  # fmt: skip
def test_count_is_said_in_words(expected: list[str], found: list[str], said: str) -> None:
    assert outcome(compare(expected, found)) == said
