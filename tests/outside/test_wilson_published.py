"""Source: published test table with z = 1.96 (secondary copy); values with z = 1.959964 as statsmodels and scipy give them."""

import pytest

from shop.books.turnaround_maths import wilson


@pytest.mark.parametrize(
    ("k", "n", "low", "high"),
    [
        (10, 100, 0.0552285416, 0.1743673044),
        (25, 100, 0.1754509400, 0.3430464637),
        (0, 100, 0, 0.0369948075),
        (0, 1, 0, 0.7934567085),
        (1, 11, 0.0162317523, 0.3773646255),
    ],
)
def test_published_table_with_the_rounded_z(k, n, low, high):
    assert wilson(k, n, z=1.96) == pytest.approx((low, high), abs=1e-10)


@pytest.mark.parametrize(
    ("k", "n", "low", "high"),
    [
        (10, 100, 0.0552291371, 0.1743656615),
        (0, 20, 0, 0.1611251581),
        (9, 10, 0.5958499732, 0.9821237869),
        (81, 263, 0.2552885199, 0.3662095770),
        (15, 148, 0.0623863995, 0.1604872417),
    ],
)
def test_two_other_libraries(k, n, low, high):
    assert wilson(k, n) == pytest.approx((low, high), abs=1e-10)
