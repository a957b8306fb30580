from datetime import UTC, date, datetime, time
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from intake import wording
from intake.answers import Answer
from intake.money import MoneyError


@pytest.mark.parametrize(
    ("amount", "currency", "locale", "said"),
    [
        ("118", "GBP", "en_GB", "£118.00"),
        ("-7.9", "GBP", "en_GB", "-£7.90"),
        ("1234567.895", "USD", "en_US", "$1,234,567.90"),
        ("0.005", "GBP", "en_GB", "£0.01"),
        ("-0.001", "GBP", "en_GB", "£0.00"),
        ("1234.5", "EUR", "de_DE", "1.234,50\u00a0€"),
        ("1199.5", "JPY", "en_US", "¥1,200"),
        ("1.0005", "KWD", "en_US", "KWD\u00a01.001"),
        ("118", "GBP", "xx_none", "£118.00"),
        ("118", "GBP", "en-GB", "£118.00"),
    ],
)
def test_money_by_locale(amount: str, currency: str, locale: str, said: str) -> None:
    assert wording.money(Decimal(amount), currency, locale) == said


def test_money_refuses_float_and_unknown_currency() -> None:
    with pytest.raises(TypeError):
        wording.money(1.5, "GBP")  # type: ignore[arg-type]
    with pytest.raises(MoneyError):
        wording.money(Decimal(1), "XQX")


def test_days_and_times_read_as_in_a_letter() -> None:
    assert wording.day(date(2026, 11, 27)) == "Fri 27 November"
    assert wording.day_year(date(2026, 12, 2)) == "Wed 2 December 2026"
    assert wording.day_short(date(2026, 11, 27)) == "27 Nov"
    assert wording.clock(time(9, 5)) == "09:05"
    assert wording.moment(datetime(2026, 11, 24, 10, 5, tzinfo=UTC)) == "Tue 24 Nov, 10:05"


@pytest.mark.parametrize(
    ("spent", "said"),
    [
        (0, "0 min"),
        (6, "6 min"),
        (60, "1 h"),
        (75, "1 h 15 min"),
        (6.5, "7 min"),
        (-6, "-6 min"),
        (0.4, "0 min"),
        (-0.4, "0 min"),
    ],
)
def test_minutes_in_hours_and_minutes(spent: float, said: str) -> None:
    assert wording.minutes(spent) == said


@given(some.integers(0, 100_000))
def test_minutes_lose_nothing(spent: int) -> None:
    parts = wording.minutes(spent).split()
    units = dict(zip(parts[1::2], map(int, parts[::2]), strict=True))
    assert units.get("h", 0) * 60 + units.get("min", 0) == spent
    assert units.get("min", 0) < 60


def test_count_of_one_and_many() -> None:
    assert [wording.count(n, "photo") for n in (0, 1, 6)] == ["0 photos", "1 photo", "6 photos"]
    assert wording.count(2, "entry", "entries") == "2 entries"


def test_answer_is_its_label_with_a_line_under_it() -> None:
    answer = Answer("Mend it", "Back with you about Wed 2 December.")
    assert answer == "Mend it"
    assert answer.under == "Back with you about Wed 2 December."


@pytest.mark.parametrize(
    ("amount", "currency", "locale", "said"),
    [
        ("1.235", "EUR", "en_GB", "€1.235"),
        ("4.0000", "EUR", "en_GB", "€4.00"),
        ("0.1212", "EUR", "de_DE", "0,1212\xa0€"),
        ("1200", "JPY", "en_US", "¥1,200"),
        ("100", "USD", "en_US", "$100.00"),
        ("0.5", "JPY", "en_US", "¥0.5"),
    ],
)
def test_price_of_one_keeps_its_digits(amount: str, currency: str, locale: str, said: str) -> None:
    assert wording.price(Decimal(amount), currency, locale) == said
