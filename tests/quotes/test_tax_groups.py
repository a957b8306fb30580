"""Tax by category and rate, and how a group's cents are shared among its amounts."""

from decimal import Decimal as D

import pytest

from quotes.tax import Taxable, tax_lines, tax_of


def shares(*amounts, rate="10", **more):
    given = {"currency": "USD", "name": "Tax", "inclusive": False, "rounding": "document", **more}
    return [str(tax) for tax in tax_lines([(D(amount), D(rate)) for amount in amounts], **given).taxes]


@pytest.mark.parametrize(
    ("amounts", "expected"),
    [
        # 0.005 and 0.015 of 0.02: the same remainder, so the heavier one takes the cent, wherever it stands.
        (("0.05", "0.15"), ["0.00", "0.02"]),
        (("0.15", "0.05"), ["0.02", "0.00"]),
        # 0.033 each of 0.10: the first of equals takes the cent.
        (("0.33", "0.33", "0.33"), ["0.04", "0.03", "0.03"]),
        # 0.099 of -0.01: a reduction takes its own part back.
        (("0.99", "-1.10"), ["0.10", "-0.11"]),
    ],
)
def test_a_groups_cents_go_to_the_largest_remainder(amounts, expected):
    assert shares(*amounts) == expected


def test_line_by_line_each_has_its_own_cent():
    assert shares("0.05", "0.15", rounding="line") == ["0.01", "0.02"]


def test_one_rate_in_two_categories_is_two_groups():
    items = [
        Taxable(D(10), D(7), "L"),
        Taxable(D(20), D(7)),
        Taxable(D(5), D(0)),
        Taxable(D(6), D(0), "E", "A gift."),
    ]
    found = tax_of(items, currency="EUR", name="Tax", inclusive=False, rounding="document")
    assert [(one.category, one.rate, one.base, one.reason) for one in found.groups] == [
        ("E", 0, 6, "A gift."), ("Z", 0, 5, ""), ("L", 7, 10, ""), ("S", 7, 20, ""),
    ]  # fmt: skip


def test_a_category_that_has_a_rate_gives_no_exemption_text():
    """EN 16931 BR-S-10 and BR-Z-10: standard and zero rate have no exemption reason."""
    items = [Taxable(D(10), D(7), "S", "Standard rate."), Taxable(D(10), D(0), "Z", "Zero rate.")]
    found = tax_of(items, currency="EUR", name="Tax", inclusive=False, rounding="document")
    assert [one.reason for one in found.groups] == ["", ""]
