"""Source: scipy (`stats.fisher_exact`, two-sided) on every small table and on seeded large ones; statsmodels for Holm's steps."""

import random

import pytest
from scipy.stats import fisher_exact
from statsmodels.stats.multitest import multipletests

from shop.books.promises.rare_maths import fisher, held_together


def _theirs(one, of_one, other, of_other):
    return fisher_exact([[one, of_one - one], [other, of_other - other]]).pvalue


def test_every_small_table():
    for of_one in range(1, 7):
        for of_other in range(1, 7):
            for one in range(of_one + 1):
                for other in range(of_other + 1):
                    ours = fisher(one, of_one, other, of_other)
                    assert ours == pytest.approx(_theirs(one, of_one, other, of_other), rel=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_large_tables(seed):
    draw = random.Random(seed)
    of_one, of_other = draw.randrange(5, 400), draw.randrange(500, 20_000)
    one, other = draw.randrange(min(of_one, 12)), draw.randrange(200)
    expected = _theirs(one, of_one, other, of_other)
    assert fisher(one, of_one, other, of_other) == pytest.approx(expected, rel=1e-6, abs=1e-12)


def test_more_events_than_there_are():
    with pytest.raises(ValueError, match="more events"):
        fisher(3, 2, 0, 5)


@pytest.mark.parametrize("seed", range(10))
def test_many_looked_at_at_once(seed):
    draw = random.Random(seed)
    chances = [draw.random() ** 3 for _ in range(draw.randrange(1, 12))]
    theirs = multipletests(chances, method="holm")[1]
    assert held_together(chances) == pytest.approx(list(theirs), rel=1e-12)
