"""Source: the relation of Garwood's limits to the chi-square distribution, by scipy; 6 in 4,180 days from the trade's notes."""

import pytest
from scipy.stats import chi2

from shop.books.promises.rare_maths import poisson_limits


@pytest.mark.parametrize("count", [0, 1, 2, 3, 6, 10, 29, 100, 999, 12_345])
@pytest.mark.parametrize("level", [0.9, 0.95, 0.99])
def test_limits_equal_those_by_chi_square(count, level):
    tail = (1 - level) / 2
    low = chi2.ppf(tail, 2 * count) / 2 if count else 0.0
    high = chi2.ppf(1 - tail, 2 * count + 2) / 2
    assert poisson_limits(count, level=level) == pytest.approx((low, high), rel=1e-9)


def test_six_in_so_many_days():
    low, high = poisson_limits(6)
    per_hundred = [round(each / 4180 * 90 * 100, 1) for each in (6, low, high)]
    assert per_hundred == [12.9, 4.7, 28.1]


def test_count_below_nought():
    with pytest.raises(ValueError, match="below nought"):
        poisson_limits(-1)
