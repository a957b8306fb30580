"""How values are said: money, days, times, minutes and amounts of things, in the shop's locale.

Pure: plain values, no database. Times come in already in the zone they shall be read in.
Patterns of money and names of days: Unicode CLDR, as babel carries it.
"""

from datetime import date, datetime, time
from decimal import Decimal

from babel import Locale, UnknownLocaleError
from babel.dates import format_date
from babel.numbers import format_currency, get_currency_symbol

from intake.money import minor_units, quantize

PLAIN = "en_GB"


def money(amount: Decimal, currency: str, locale: str = PLAIN) -> str:
    """An amount as it is written to a customer: '£118.00', '-€7.90', '¥1,200'; never an idle digit too few.

    Rounded half up to the currency's own digits before it is written. Raises TypeError for anything but Decimal,
    MoneyError for an unknown currency. An unknown locale is written as British English.
    """
    return _written(quantize(amount, currency), currency, locale, minor_units(currency))


def price(amount: Decimal, currency: str, locale: str = PLAIN) -> str:
    """The price of one, which may have more digits than the currency: '€1.235', and '€4.00' where it has not."""
    own = minor_units(currency)
    _, _, shift = amount.normalize().as_tuple()
    return _written(amount, currency, locale, max(own, -shift if isinstance(shift, int) else 0))


def _written(exact: Decimal, currency: str, locale: str, digits: int) -> str:
    language = _locale(locale)
    # The locale's own pattern, with the digits of ISO 4217 in it: CLDR has other digits for some currencies.
    pattern = _pattern(language, currency, digits)
    return str(format_currency(exact, currency, pattern, locale=language, currency_digits=False))


def day(value: date, locale: str = PLAIN) -> str:
    """A day in a sentence: 'Fri 27 November'."""
    return str(format_date(value, "EEE d MMMM", locale=_locale(locale)))


def day_year(value: date, locale: str = PLAIN) -> str:
    """A day that may lie in another year: 'Fri 27 November 2026'."""
    return str(format_date(value, "EEE d MMMM y", locale=_locale(locale)))


def day_short(value: date, locale: str = PLAIN) -> str:
    """A day in a table: '27 Nov'."""
    return str(format_date(value, "d MMM", locale=_locale(locale)))


def clock(value: datetime | time) -> str:
    """A time of day: '14:31'."""
    return f"{value:%H:%M}"


def moment(value: datetime, locale: str = PLAIN) -> str:
    """A day with its time, as beside a signature: 'Tue 24 Nov, 10:05'."""
    return f"{format_date(value, 'EEE d MMM', locale=_locale(locale))}, {clock(value)}"


def minutes(value: int | float | Decimal) -> str:
    """A length of work: '6 min', '1 h', '1 h 15 min'; rounded to whole minutes, half up; '-6 min' below nought."""
    whole = int(abs(Decimal(str(value))) + Decimal("0.5"))
    hours, rest = divmod(whole, 60)
    said = " ".join(f"{number} {unit}" for number, unit in ((hours, "h"), (rest, "min")) if number) or "0 min"
    return f"-{said}" if value < 0 and whole else said


def count(number: int, one: str, many: str = "") -> str:
    """A number with its word: '1 photo', '6 photos', '0 photos'."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def _pattern(language: Locale, currency: str, digits: int) -> str:
    pattern = str(language.currency_formats["standard"].pattern).split(";")[0]
    pattern = pattern.replace("0.00", "0." + "0" * digits if digits else "0")
    # A sign made of letters would run into the number: 'KWD1.000'.
    lettered = get_currency_symbol(currency, locale=language)[-1:].isalpha()
    return pattern.replace("¤#", "¤\u00a0#") if lettered else pattern


def _locale(name: str) -> Locale:
    try:
        return Locale.parse(name.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return Locale.parse(PLAIN)
