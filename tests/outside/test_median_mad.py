"""Median and scaled MAD against another hand: scipy.stats.median_abs_deviation(scale="normal") and statistics.median."""

import random
import statistics
from decimal import Decimal as D

import pytest
from scipy import stats

from quotes.spread import NORMAL, median, scaled_mad


@pytest.mark.parametrize("size", [1, 2, 3, 4, 7, 20, 101])
@pytest.mark.parametrize("seed", range(5))
def test_the_spread_equals_scipys(size, seed):
    drawn = random.Random(seed * 1000 + size)  # noqa: S311 -- a fixed sample, no secret
    values = [D(drawn.randrange(-5000, 5000)).scaleb(-3) for _ in range(size)]
    outside = stats.median_abs_deviation([float(value) for value in values], scale="normal")
    assert float(scaled_mad(values)) == pytest.approx(outside, rel=1e-12, abs=1e-15)
    assert median(values) == statistics.median(values)


def test_the_constant_is_the_normal_quantile():
    assert float(NORMAL) == pytest.approx(1 / stats.norm.ppf(0.75), rel=1e-15)
