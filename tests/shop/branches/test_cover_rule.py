"""Who pays for a comeback: three causes, while the warranty runs, its last day among it."""

import datetime as dt

import pytest

from shop.branches.cover_rule import cover_of

ENDS = dt.date(2026, 5, 3)


@pytest.mark.parametrize(
    ("cause", "covered"), [("same", True), ("work", True), ("lot", True), ("new", False), ("damage", False)]
)
def test_cause_decides_within_the_warranty(cause, covered):
    assert cover_of(cause, came=ENDS, warranty_ends=ENDS).covered is covered


def test_day_after_the_last_is_over():
    over = cover_of("same", came=ENDS + dt.timedelta(days=1), warranty_ends=ENDS)
    assert not over.covered and over.why == "The warranty was over on Sun 3 May 2026."


def test_no_warranty_covers_nothing():
    assert cover_of("work", came=ENDS, warranty_ends=None).why == "The first repair left no warranty."
