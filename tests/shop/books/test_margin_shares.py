"""Sums shared out to whole units, and rounding half up."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.books.lines import Line
from shop.books.margin import burden_maths
from shop.books.margin.sharing_maths import rounded, shared_out
from tests.shop.books import margin_lines as made

WEIGHTS = st.dictionaries(st.integers(), st.integers(0, 1000), max_size=12)


@pytest.mark.parametrize(
    ("amount", "by", "found"),
    [(5, 2, 3), (-5, 2, -3), (5, -2, -3), (4, 3, 1), (0, 7, 0), (-1, 3, 0), (22_610, 6, 3_768)],
)
def test_rounded_is_half_up_and_away_from_nought(amount: int, by: int, found: int) -> None:
    assert rounded(amount, by) == found


@given(st.integers(-(10**9), 10**9), WEIGHTS)
def test_shares_add_up_and_are_within_one_of_the_exact_share(total: int, weights: dict[int, int]) -> None:
    shares = shared_out(total, weights)
    assert shares.keys() == weights.keys()
    if not sum(weights.values()):
        assert not any(shares.values())
        return
    assert sum(shares.values()) == total
    for key, weight in weights.items():
        assert abs(shares[key] - Fraction(total * weight, sum(weights.values()))) < 1


def test_first_of_equal_remainders_has_the_unit_that_is_left() -> None:
    assert shared_out(10, {"a": 1, "b": 1, "c": 1}) == {"a": 4, "b": 3, "c": 3}
    assert shared_out(-10, {"a": 1, "b": 1, "c": 1}) == {"a": -4, "b": -3, "c": -3}


@given(made.MANY)
def test_shares_of_unpaid_looking_are_the_burden_to_the_cent(lines: list[Line]) -> None:
    shares = burden_maths.shares(lines)
    assert set(shares) == {line.order for line in burden_maths.billed_repairs(lines)}
    assert sum(shares.values()) == (burden_maths.burden(lines) if shares else 0)
    assert max(shares.values(), default=0) - min(shares.values(), default=0) <= 1
