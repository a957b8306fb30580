"""Money: an exact amount with its currency, rounded half up to the currency's minor unit, read from what people type.

Source of the minor units: ISO 4217, list published 2026-01-01 (seen through a copy of the list). CLDR data differs
for a dozen currencies and is not used for digits. Rounding half up: common practice; EN 16931 names no direction.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

# Currencies the shop can be set to, by the digits after the point.
_TWO = """
AED ARS AUD BGN BRL CAD CHF CNY COP CRC CZK DKK DOP EGP EUR FJD GBP GEL GHS GTQ HKD HUF IDR ILS INR JMD KES KZT LKR MAD
MDL MKD MUR MXN MYR NAD NGN NOK NZD PEN PHP PKR PLN QAR RON RSD SAR SEK SGD THB TRY TTD TWD TZS UAH USD UYU ZAR
"""
_NONE = "CLP ISK JPY KRW PYG UGX VND XAF XOF XPF"
_THREE = "BHD IQD JOD KWD LYD OMR TND"
MINOR_UNITS: dict[str, int] = {
    **dict.fromkeys(_TWO.split(), 2),
    **dict.fromkeys(_NONE.split(), 0),
    **dict.fromkeys(_THREE.split(), 3),
}

_SMALLEST = {currency: Decimal(1).scaleb(-digits) for currency, digits in MINOR_UNITS.items()}
_NOUGHT = Decimal(0)
MOST = Decimal(1_000_000)

_SIGNS = "$€£¥₩₹₺₴₫₪₱₦฿₡₲₵₸₾"


class MoneyError(ValueError):
    """What was typed, or added, is no amount of money; the message is a sentence to show beside the field."""


def minor_units(currency: str) -> int:
    """Digits after the decimal point: 0, 2 or 3. Raises MoneyError for a currency that is not in the table."""
    try:
        return MINOR_UNITS[currency]
    except KeyError:
        raise MoneyError(f"The currency {currency!r} is not known here.") from None


def quantize(amount: Decimal, currency: str) -> Decimal:
    """`amount` rounded half up (away from nought at the half) to the minor unit; never '-0.00'."""
    if not isinstance(amount, Decimal):
        raise TypeError("money is Decimal")
    return amount.quantize(smallest(currency), rounding=ROUND_HALF_UP) + _NOUGHT


def smallest(currency: str) -> Decimal:
    """The smallest unit: 0.01, 1 or 0.001. Raises MoneyError for a currency that is not in the table."""
    try:
        return _SMALLEST[currency]
    except KeyError:
        raise MoneyError(f"The currency {currency!r} is not known here.") from None


@dataclass(frozen=True)
class Money:
    """An exact amount in one currency, always held at the currency's own digits.

    Raises TypeError for an amount that is not Decimal, MoneyError for an unknown currency, an endless amount, or one
    with more digits than the currency has: round with `Money.rounded` where rounding is meant.
    """

    amount: Decimal
    currency: str

    def __post_init__(self) -> None:
        if not isinstance(self.amount, Decimal):
            raise TypeError("money is Decimal")
        if not self.amount.is_finite():
            raise MoneyError("An amount of money has an end.")
        exact = quantize(self.amount, self.currency)
        if exact != self.amount:
            raise MoneyError(f"{self.currency} has {minor_units(self.currency)} digits after the point.")
        object.__setattr__(self, "amount", exact)

    @classmethod
    def rounded(cls, amount: Decimal, currency: str) -> "Money":
        """Money from an amount of any number of digits, rounded half up."""
        return cls(quantize(amount, currency), currency)

    @classmethod
    def zero(cls, currency: str) -> "Money":
        """Nothing, in that currency."""
        return cls(Decimal(0), currency)

    def __add__(self, other: "Money") -> "Money":
        return Money(self.amount + self._same(other), self.currency)

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.amount - self._same(other), self.currency)

    def __neg__(self) -> "Money":
        return Money(-self.amount, self.currency)

    def __lt__(self, other: "Money") -> bool:
        return self.amount < self._same(other)

    def __le__(self, other: "Money") -> bool:
        return self.amount <= self._same(other)

    def __bool__(self) -> bool:
        return bool(self.amount)

    def __str__(self) -> str:
        return f"{self.amount} {self.currency}"

    def _same(self, other: object) -> Decimal:
        if not isinstance(other, Money):
            raise TypeError("money adds to money only")
        if other.currency != self.currency:
            raise MoneyError(f"{self.currency} and {other.currency} cannot be added or compared.")
        return other.amount


def parse_amount(text: str, currency: str) -> Decimal:
    """A typed amount as Decimal at the currency's digits: '120,50', '1 200.50', '1.200,50' and '£120' are all taken.

    Raises MoneyError with the sentence to show: nothing typed, not a number, below nought, too many decimals,
    over 1,000,000, or a dot or comma that could mean either thousands or decimals.
    """
    digits = minor_units(currency)
    typed = unicodedata.normalize("NFKC", text).strip().replace("\u2212", "-")
    typed = typed.removeprefix(currency).removesuffix(currency).strip(_SIGNS + " ")
    if not typed:
        raise MoneyError("Type an amount, such as 120 or 120.50.")
    if re.fullmatch(r"\(.*\)|-.*|.*-", typed):
        raise MoneyError("An amount cannot be below nought.")
    if not re.fullmatch(r"[0-9.,'’ ]*[0-9][0-9.,'’ ]*", typed):
        raise MoneyError("That is not an amount. Use digits and one point or comma, such as 120.50.")
    whole, cents = _split(typed, digits)
    amount = Decimal(f"{whole or '0'}.{cents or '0'}")
    if len(cents) > digits:
        raise MoneyError(_too_many(currency, digits))
    if amount > MOST:
        raise MoneyError("An amount cannot be over 1,000,000.")
    return quantize(amount, currency)


def _split(typed: str, digits: int) -> tuple[str, str]:
    """The digits before and after the decimal point; spaces and apostrophes only ever group thousands."""
    unclear = MoneyError("That is not clear: write 1200.50 without signs between the thousands.")
    points = [sign for sign in typed if sign in ".,"]
    if not points:
        return _ungrouped(typed, unclear), ""
    last = points[-1]
    head, _, tail = typed.rpartition(last)
    if points.count(last) > 1 and set(points) == {last}:
        return _ungrouped(typed.replace(last, " "), unclear), ""
    if last in head or not re.fullmatch("[0-9]*", tail):
        raise unclear
    if len(points) == 1 and len(tail) == 3 and digits != 3 and re.fullmatch(r"[1-9][0-9]{0,2}", head):
        if digits == 0:
            return head + tail, ""
        # 1.200 and 1,200 mean twelve hundred to some and one and a fifth to others.
        raise MoneyError(f"{typed} can be read in two ways. Write {head}{tail} or {head}.{tail[:2]}.")
    other = "," if last == "." else "."
    return (_ungrouped(head.replace(other, " "), unclear) if head else "0"), tail


def _ungrouped(text: str, unclear: MoneyError) -> str:
    groups = re.split(r"[ '’]", text)
    if len(groups) > 1 and not (1 <= len(groups[0]) <= 3 and all(len(group) == 3 for group in groups[1:])):
        raise unclear
    return "".join(groups)


def _too_many(currency: str, digits: int) -> str:
    if digits == 0:
        return f"{currency} has no digits after the point."
    return f"{currency} has {digits} digits after the point, not more."
