"""Source: statsmodels (`proportion_confint`, method 'wilson') and scipy (`binomtest(...).proportion_ci('wilson')`), every small count
and seeded large ones."""

import random

import pytest
from scipy.stats import binomtest
from statsmodels.stats.proportion import proportion_confint

from shop.books.outcome_maths import Rate


@pytest.mark.parametrize("n", [1, 2, 3, 5, 9, 10, 13, 26, 40])
def test_every_count_of_a_small_number(n):
    for k in range(n + 1):
        theirs = proportion_confint(k, n, alpha=0.05, method="wilson")
        assert Rate(k, n).limits == pytest.approx(theirs, abs=1e-12)


@pytest.mark.parametrize("seed", range(20))
def test_large_counts(seed):
    draw = random.Random(seed)
    n = draw.randrange(100, 2_000_000)
    k = draw.randrange(n + 1)
    theirs = binomtest(k, n).proportion_ci(method="wilson") if n < 20_000 else None
    low, high = (theirs.low, theirs.high) if theirs else proportion_confint(k, n, method="wilson")
    assert Rate(k, n).limits == pytest.approx((low, high), abs=1e-12)


@pytest.mark.parametrize(
    ("k", "n", "low", "high"), [(7, 9, 0.45, 0.94), (2, 10, 0.06, 0.51), (6, 26, 0.110, 0.421)]
)
def test_shares_of_the_trade_notes_as_printed(k, n, low, high):
    digits = 3 if n == 26 else 2
    assert tuple(round(limit, digits) for limit in Rate(k, n).limits) == (low, high)
