"""Sources: Swedish Act 1970:1029 section 2 as amended SFS 2009:283, and the rule of 1992 to 2010 (secondary copies); the
rule of five hundredths (secondary copy); Peppol BIS 3 guide for BT-114; CLDR cash fractions as the babel package carries them.
"""

from decimal import Decimal as D

import pytest
from babel.core import get_global

from quotes.cash_rounding import USUAL_STEPS, cash_rounding


@pytest.mark.parametrize(
    ("total", "step", "payable"),
    [
        ("223.49", "1", "223"),
        ("223.50", "1", "224"),
        # 50 to 99 go up, to an odd crown too.
        ("222.50", "1", "223"),
        ("65.40", "1", "65"),
        ("223.20", "0.50", "223.00"),
        ("65.40", "0.50", "65.50"),
        ("20.42", "0.05", "20.40"),
        ("20.43", "0.05", "20.45"),
        ("999.81", "1", "1000.00"),
    ],
)
def test_what_the_coins_come_to(total, step, payable):
    assert D(total) + cash_rounding(D(total), D(step), "SEK") == D(payable)
    assert D(total) * -1 + cash_rounding(D(total) * -1, D(step), "SEK") == D(payable) * -1


def test_the_rounding_amount_itself():
    assert str(cash_rounding(D("999.81"), D(1), "EUR")) == "0.19"
    assert str(cash_rounding(D("223.49"), D(1), "SEK")) == "-0.49"


@pytest.mark.parametrize("currency", sorted(set(USUAL_STEPS) - {"HUF"}))
def test_usual_steps_are_those_of_the_data(currency):
    """(digits, step, cash digits, cash step in the last digit); a step of nought means one. HUF is from memory: 5."""
    _, _, digits, step = get_global("currency_fractions")[currency]
    assert USUAL_STEPS[currency] == D(step or 1).scaleb(-digits)
