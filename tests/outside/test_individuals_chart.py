"""Source: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.2, individuals control charts: flow rates, their mean, mean
moving range and limits, as two public test files repeat them (the handbook takes d2 = 1.128). Factors: published as 2.66 for
individuals and 3.267 or 3.268 for ranges of two."""

import pytest

from shop.books.individuals_maths import D2, D4, WIDE, individuals

FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]


def test_published_mean_range_and_limits() -> None:
    chart = individuals(FLOW)
    assert chart is not None
    assert chart.centre == pytest.approx(50.81)
    assert round(chart.mean_range, 4) == 1.8778
    assert chart.centre + 3 * chart.mean_range / 1.128 == pytest.approx(55.8041, abs=5e-5)
    assert chart.centre - 3 * chart.mean_range / 1.128 == pytest.approx(45.8159, abs=5e-5)
    assert chart.high == pytest.approx(55.8041, abs=2e-3)
    assert chart.low == pytest.approx(45.8159, abs=2e-3)
    assert chart.signals == ()


def test_published_limit_of_the_ranges() -> None:
    """6.1347 with 3.267, 6.1366 with 3.268."""
    chart = individuals(FLOW)
    assert chart is not None
    assert 6.133 < chart.range_high < 6.1366


def test_published_factors() -> None:
    assert round(D2, 3) == 1.128
    assert round(WIDE, 2) == 2.66
    assert pytest.approx(2.658681, abs=5e-7) == WIDE
    assert pytest.approx(3.266532, abs=5e-7) == D4
