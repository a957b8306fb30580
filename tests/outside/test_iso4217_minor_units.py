"""Source: ISO 4217, list published 2026-01-01 (as carried by the iso4217 package, read once; the values stand below)."""

import pytest

from intake.money import minor_units


@pytest.mark.parametrize(
    ("currency", "digits"),
    [
        ("EUR", 2),
        ("USD", 2),
        ("GBP", 2),
        ("RSD", 2),
        ("JPY", 0),
        ("KRW", 0),
        ("ISK", 0),
        ("CLP", 0),
        ("PYG", 0),
        ("VND", 0),
        ("KWD", 3),
        ("BHD", 3),
        ("TND", 3),
        ("IQD", 3),
    ],
)
def test_minor_units_as_published(currency, digits):
    assert minor_units(currency) == digits
