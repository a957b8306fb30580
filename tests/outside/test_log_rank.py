"""Source: 6-MP remission data (Freireich and others, 1963): log-rank chi-squared 16.79294, p 4.1688e-5, as lifelines,
statsmodels and scipy all give it; and lifelines on random stays with ties and orders still open."""

import random

import pytest
from lifelines.statistics import logrank_test

from shop.books.log_rank_maths import log_rank

TREATED = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"
Stays = list[tuple[float, bool]]


def stays(text: str) -> Stays:
    return [(float(word.rstrip("+")), not word.endswith("+")) for word in text.split()]


def test_published_comparison() -> None:
    found = log_rank(stays(TREATED), stays(PLACEBO))
    assert found is not None
    assert found.chi2 == pytest.approx(16.79294, abs=5e-6)
    assert found.p == pytest.approx(4.1688e-5, abs=5e-9)
    assert found.ended == 9
    turned = log_rank(stays(PLACEBO), stays(TREATED))
    assert turned is not None
    assert turned.chi2 == pytest.approx(found.chi2)


@pytest.mark.parametrize("seed", range(8))
def test_random_groups_agree_with_the_library(seed: int) -> None:
    rng = random.Random(seed)

    def group(size: int, rate: float) -> Stays:
        return [(1.0 + int(rng.expovariate(rate)), rng.random() < 0.8) for _ in range(size)]

    one, other = group(rng.randrange(5, 80), 0.2), group(rng.randrange(5, 80), 0.3)
    found = log_rank(one, other)
    theirs = logrank_test(
        [time for time, _ in one], [time for time, _ in other],
        [ended for _, ended in one], [ended for _, ended in other],
    )  # fmt: skip
    assert found is not None
    assert (found.chi2, found.p) == pytest.approx((theirs.test_statistic, theirs.p_value), rel=1e-9)


def test_nothing_to_compare() -> None:
    assert log_rank([], stays(PLACEBO)) is None
    assert log_rank([(3, False)], [(4, False)]) is None
    assert log_rank([(1, True)], [(2, False)]) is not None
