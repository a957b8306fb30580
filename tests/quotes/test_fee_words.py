"""What a customer is told about the cost of looking, before anything is posted."""

from decimal import Decimal as D

import pytest

from quotes.fee_words import diagnosis_policy, diagnosis_words


@pytest.mark.parametrize(
    ("fee", "above", "policy"),
    [(D(0), None, "free"), (D(0), D(100), "free"), (D(20), None, "declined"), (D(20), D(100), "waived")],
)
def test_policy_follows_from_fee_and_sum(fee, above, policy):
    assert diagnosis_policy(fee, above) == policy
    assert bool(diagnosis_words(fee, above, currency="USD")) == (policy != "free")


def test_words_name_the_fee_the_sum_and_the_tax_that_is_open():
    assert diagnosis_words(D(20), None, currency="GBP") == (
        "If you say no to our quote, looking for the fault costs £20.00. If you say yes, it costs nothing on top."
    )
    words = diagnosis_words(D(20), D(150), currency="JPY", tax_open=True)
    assert "a quote of up to" in words and "and the tax on it." in words and "150" in words
