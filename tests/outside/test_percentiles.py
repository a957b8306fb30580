"""Source: numpy (`quantile`, method 'inverted_cdf') and scipy (`stats.ecdf`), on seeded random numbers."""

import random
from fractions import Fraction

import numpy as np
import pytest
from scipy import stats

from shop.books.promises.rank_maths import percentile

# Those that a float holds exactly: the library's own rank is worked out in floats.
EXACT = [Fraction(1, 2), Fraction(1, 4), Fraction(3, 4), Fraction(7, 8), Fraction(1, 1)]


@pytest.mark.parametrize("seed", range(25))
def test_nearest_rank_equals_the_other_library(seed):
    draw = random.Random(seed)
    values = [draw.randrange(-50, 50) for _ in range(draw.randrange(1, 60))]
    for share in EXACT:
        assert percentile(values, share) == np.quantile(values, float(share), method="inverted_cdf")


@pytest.mark.parametrize("n", [1, 2, 7, 9, 10, 11, 20, 29, 100, 101])
def test_nine_in_ten_is_where_the_empirical_distribution_passes_it(n):
    values = random.Random(n).sample(range(1000), n)
    curve = stats.ecdf(values).cdf
    reached = [
        int(value)
        for value, share in zip(curve.quantiles, curve.probabilities, strict=True)
        if Fraction(round(share * n), n) >= Fraction(9, 10)
    ]
    assert percentile(values, Fraction(9, 10)) == reached[0]


def test_percentile_of_nothing_and_out_of_range():
    assert percentile([], Fraction(1, 2)) is None
    with pytest.raises(ValueError, match="above nought"):
        percentile([1], Fraction(0))
