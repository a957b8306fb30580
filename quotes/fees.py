"""What a card payment costs the shop: a part of the sum and a fixed piece, as the rates say."""

from decimal import Decimal

from intake.money import quantize


def card_fee(amount: Decimal, *, percent: Decimal, fixed: Decimal, currency: str) -> Decimal:
    """The fee of one card payment, rounded half up to the currency's digits; nothing for nothing."""
    if amount <= 0:
        return quantize(Decimal(0), currency)
    return quantize(amount * percent / 100 + fixed, currency)
