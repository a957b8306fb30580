"""Source: published guidance on statutory interest on late commercial payments (gov.uk, "Late commercial payments"): a debt
of 1,000 at 8 % above a base rate of 0.5 % gives 85 a year, 0.23 a day, and after 50 days 11.50. Not rounding the day gives
11.64 (own calculation in rationals)."""

from decimal import Decimal as D
from fractions import Fraction

from quotes.statement_maths import interest


def test_published_example_by_rounding_the_day():
    found = interest("INV-00001", D(1000), percent=D("8.5"), days=50, currency="GBP")
    assert (found.daily, found.by_day) == (D("0.23"), D("11.50"))


def test_published_example_without_rounding_the_day():
    found = interest("INV-00001", D(1000), percent=D("8.5"), days=50, currency="GBP")
    exact = Fraction(1000) * Fraction(85, 1000) * 50 / 365
    assert found.exact == D("11.64") and abs(Fraction(found.exact) - exact) <= Fraction(1, 200)


def test_currency_without_minor_unit_is_rounded_to_whole_units():
    found = interest("INV-00001", D(100000), percent=D("8.5"), days=50, currency="JPY")
    assert (found.daily, found.by_day, found.exact) == (D(23), D(1150), D(1164))
