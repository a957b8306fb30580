"""Money: exact, one currency, half up, and forgiving of how people write."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.money import MINOR_UNITS, Money, MoneyError, parse_amount, quantize


@pytest.mark.parametrize(
    ("text", "currency", "amount"),
    [
        ("120,50", "EUR", "120.50"),
        ("1 200.50", "EUR", "1200.50"),
        ("1\u00a0200,50", "EUR", "1200.50"),
        ("1\u202f200,50", "EUR", "1200.50"),
        ("1.200,50", "EUR", "1200.50"),
        ("1,200.50", "USD", "1200.50"),
        ("1'200.50", "CHF", "1200.50"),
        ("£120", "GBP", "120.00"),
        ("120 €", "EUR", "120.00"),
        ("EUR 120", "EUR", "120.00"),
        ("120 EUR", "EUR", "120.00"),
        (".5", "USD", "0.50"),
        ("5.", "USD", "5.00"),
        ("0", "USD", "0.00"),
        ("1,000,000", "USD", "1000000.00"),
        ("１２０．５０", "USD", "120.50"),
        ("1200", "JPY", "1200"),
        ("1,200", "JPY", "1200"),
        ("1.250", "KWD", "1.250"),
        ("0.500", "KWD", "0.500"),
    ],
)
def test_parse_amount_takes_the_ways_people_write(text, currency, amount):
    assert str(parse_amount(text, currency)) == amount


@pytest.mark.parametrize(
    ("text", "currency", "words"),
    [
        ("", "USD", "Type an amount"),
        ("   ", "USD", "Type an amount"),
        ("$", "USD", "Type an amount"),
        ("-5", "USD", "below nought"),
        ("\u22125", "USD", "below nought"),
        ("(5)", "USD", "below nought"),
        ("5-", "USD", "below nought"),
        ("NaN", "USD", "not an amount"),
        ("Infinity", "USD", "not an amount"),
        ("1e3", "USD", "not an amount"),
        ("0x10", "USD", "not an amount"),
        ("1_000", "USD", "not an amount"),
        ("٥", "USD", "not an amount"),
        ("5\x00", "USD", "not an amount"),
        ("...", "USD", "not an amount"),
        ("0.125", "USD", "2 digits"),
        ("12.3456", "USD", "2 digits"),
        ("0.5", "JPY", "no digits"),
        ("1.2345", "KWD", "3 digits"),
        ("1.200", "USD", "two ways"),
        ("1,200", "EUR", "two ways"),
        ("1.2.3", "USD", "not clear"),
        ("1.2,3.4", "USD", "not clear"),
        ("12 00", "USD", "not clear"),
        ("1000000.01", "USD", "1,000,000"),
        ("9" * 5000, "USD", "1,000,000"),
    ],
)
def test_parse_amount_refuses_with_a_sentence(text, currency, words):
    with pytest.raises(MoneyError) as caught:
        parse_amount(text, currency)
    assert words in str(caught.value)
    assert str(caught.value).endswith(".")


@given(st.text(max_size=30))
def test_parse_amount_gives_an_amount_or_its_own_error(text):
    try:
        amount = parse_amount(text, "USD")
    except MoneyError:
        return
    assert 0 <= amount <= 1_000_000
    assert amount == quantize(amount, "USD")


@given(st.decimals(0, 1_000_000, places=2))
def test_parse_amount_reads_back_what_is_written(amount):
    assert parse_amount(f"{amount:f}", "USD") == amount
    assert parse_amount(f"{amount:f}".replace(".", ","), "EUR") == amount


def test_money_adds_and_subtracts_in_one_currency():
    assert Money(Decimal("0.10"), "USD") + Money(Decimal("0.20"), "USD") == Money(Decimal("0.30"), "USD")
    assert Money(Decimal(5), "JPY") - Money(Decimal(7), "JPY") == -Money(Decimal(2), "JPY")
    assert Money.zero("USD") < Money(Decimal("0.01"), "USD")
    assert not Money.zero("USD")
    assert str(Money(Decimal(5), "KWD")) == "5.000 KWD"


def test_money_refuses_mixed_currencies():
    with pytest.raises(MoneyError, match="cannot be added"):
        Money(Decimal(1), "USD") + Money(Decimal(1), "EUR")
    with pytest.raises(MoneyError):
        _ = Money(Decimal(1), "USD") < Money(Decimal(1), "EUR")


def test_money_refuses_what_is_not_money():
    with pytest.raises(TypeError):
        Money(0.1, "USD")
    with pytest.raises(TypeError):
        quantize(0.1, "USD")
    with pytest.raises(TypeError):
        _ = Money(Decimal(1), "USD") + 1
    for wrong in (Decimal("NaN"), Decimal("Infinity"), Decimal("0.001")):
        with pytest.raises(MoneyError):
            Money(wrong, "USD")
    with pytest.raises(MoneyError, match="XXQ"):
        Money(Decimal(1), "XXQ")


def test_quantize_rounds_halves_away_from_nought():
    assert quantize(Decimal("0.125"), "USD") == Decimal("0.13")
    assert quantize(Decimal("-0.125"), "USD") == Decimal("-0.13")
    assert quantize(Decimal("0.5"), "JPY") == 1
    assert str(quantize(Decimal("-0.001"), "USD")) == "0.00"


def test_equal_money_is_the_same_key():
    assert {Money(Decimal("1.5"), "USD"): 1}[Money(Decimal("1.50"), "USD")] == 1


def test_every_currency_has_three_letters_and_0_2_or_3_digits():
    assert all(len(code) == 3 and code.isupper() for code in MINOR_UNITS)
    assert set(MINOR_UNITS.values()) == {0, 2, 3}
