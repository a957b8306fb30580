"""A total rounded to coins: what cannot be is refused, and nothing is added beyond half a coin."""

from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.cash_rounding import cash_rounding


@settings(deadline=None)
@given(st.decimals(-9999, 9999, places=2), st.sampled_from([D("0.05"), D("0.50"), D(1), D(5)]))
def test_the_payable_sum_is_whole_coins_and_near(total, step):
    rounding = cash_rounding(total, step, "EUR")
    assert (total + rounding) % step == 0
    assert abs(rounding) <= step / 2


@pytest.mark.parametrize(
    ("step", "words"), [("0", "more than nought"), ("-1", "more"), ("0.001", "the coin has")]
)
def test_a_coin_that_cannot_be_is_refused(step, words):
    with pytest.raises(ValueError, match=words):
        cash_rounding(D(1), D(step), "EUR")


def test_a_float_is_refused():
    for total, step in ((1.0, D(1)), (D(1), 0.05)):
        with pytest.raises(TypeError):
            cash_rounding(total, step, "EUR")
