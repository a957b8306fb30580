"""Sources: EN 16931 example2 (365.125 becomes 365.13); ubl-tc434-example8 for the level (file A); worked pair H of an
open-source program's wiki (secondary copy); UK manual VATREC12010: no rounding down to whole pennies line by line; German
VAT application decree as reported: third decimal 5 to 9 up (secondary copy).
"""

from decimal import Decimal as D

import pytest

from quotes.pricing import LineInput, Policy, price
from quotes.tax import tax_lines


def tax(amounts, rate, *, rounding="document", currency="EUR", inclusive=False):
    pairs = [(D(amount), D(rate)) for amount in amounts]
    found = tax_lines(pairs, currency=currency, name="VAT", inclusive=inclusive, rounding=rounding)
    return sum(found.taxes, D(0))


@pytest.mark.parametrize("rounding", ["document", "line"])
def test_the_half_cent_goes_up_at_both_levels(rounding):
    """1460.50 x 25 % = 365.125 exactly; to the even cent, and as a binary number, it would be 365.12."""
    assert round(365.125, 2) == 365.12
    assert tax(["1460.50"], "25", rounding=rounding) == D("365.13")


@pytest.mark.parametrize("rounding", ["document", "line"])
def test_below_nought_the_half_cent_goes_away_from_nought(rounding):
    assert tax(["-1460.50"], "25", rounding=rounding) == D("-365.13")


@pytest.mark.parametrize(
    ("amount", "rate", "expected"),
    [("0.10", "5", "0.01"), ("0.09", "5", "0.00"), ("0.30", "5", "0.02"), ("2.50", "1", "0.03")],
)
def test_the_third_decimal_decides(amount, rate, expected):
    assert tax([amount], rate) == D(expected)


@pytest.mark.parametrize(
    ("currency", "amount", "expected"),
    [("JPY", "5", "1"), ("JPY", "4", "0"), ("KWD", "0.005", "0.001"), ("KWD", "0.004", "0.000")],
)
def test_digits_are_the_currencys_own(currency, amount, expected):
    assert tax([amount], "10", currency=currency) == D(expected)


def test_pair_h_within_and_without():
    assert tax(["1.24", "1.24"], "10", rounding="line") == D("0.24")
    assert tax(["1.24", "1.24"], "10") == D("0.25")
    # With the tax in them: 2.48 x 10 / 110 = 0.22545..., each 0.11272...
    assert tax(["1.24", "1.24"], "10", rounding="line", inclusive=True) == D("0.22")
    assert tax(["1.24", "1.24", "1.24"], "10", inclusive=True) == D("0.34")


def test_line_by_line_is_never_rounded_down_to_whole_pennies():
    """UK VATREC12010: of the ways allowed for lines none rounds down to whole pennies."""
    policy = Policy("GBP", D(0), D(0), {}, D(0), D(0), rounding="line")
    lines = [LineInput("fee", "line", unit_price=D("0.03"), tax_percent=D(20))] * 10
    assert price(lines, policy).tax == D("0.10")
