"""How far a bill may go above the agreement: nothing, the greater of a sum and a share, a share."""

from decimal import Decimal as D

import pytest

from quotes.overrun import ceiling


def top(agreed, rule, sum_="5", percent="10", currency="USD"):
    return str(ceiling(D(agreed), rule=rule, sum_=D(sum_), percent=D(percent), currency=currency))


@pytest.mark.parametrize(
    ("agreed", "rule", "percent", "highest"),
    [
        # California BPC 9844: nothing above without consent.
        ("112.32", "none", "10", "112.32"),
        # Ohio Adm. Code 109:4-3-05: 5 dollars or 10 %, whichever is greater.
        ("40.00", "greater", "10", "45.00"),
        ("50.00", "greater", "10", "55.00"),
        ("112.32", "greater", "10", "123.55"),
        # 6 RCNY 5-54: 120 % of the estimate.
        ("112.32", "share", "20", "134.78"),
        ("0", "share", "20", "0.00"),
    ],
)
def test_the_highest_total_without_a_new_consent(agreed, rule, percent, highest):
    assert top(agreed, rule, percent=percent) == highest


def test_a_part_of_a_cent_is_never_rounded_up():
    """10 % of 112.37 is 11.237: 123.60 stays below 123.607, and of 112.36 likewise."""
    assert top("112.37", "greater") == "123.60"
    assert top("0.99", "share", percent="50") == "1.48"
    assert top("199", "share", currency="JPY") == "218"
    assert top("0.019", "share", currency="KWD") == "0.020"


@pytest.mark.parametrize(
    "wrong", [{"agreed": D(-1)}, {"sum_": D(-1)}, {"percent": D("NaN")}, {"rule": "any"}]
)
def test_what_cannot_be_is_refused(wrong):
    given = {"agreed": D(1), "rule": "share", "sum_": D(0), "percent": D(10), **wrong}
    with pytest.raises(ValueError, match="nought or more|none, greater or share"):
        ceiling(given.pop("agreed"), currency="USD", **given)


@pytest.mark.parametrize("wrong", [{"agreed": 1.5}, {"sum_": 1.5}, {"percent": 1.5}])
def test_a_float_is_refused(wrong):
    given = {"agreed": D(1), "rule": "share", "sum_": D(0), "percent": D(10), **wrong}
    with pytest.raises(TypeError):
        ceiling(given.pop("agreed"), currency="USD", **given)
