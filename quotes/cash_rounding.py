"""What is rounded away or added when a total is paid in coins.

Half a step and more goes up, less goes down. Source: Swedish Act 1970:1029 section 2 as amended by SFS 2009:283 (secondary
copy); the rule of five hundredths likewise. The amount is EN 16931's rounding amount (BT-114): payable = total + rounding.
"""

from decimal import ROUND_HALF_UP, Decimal

from intake.money import minor_units, quantize

# Smallest coin by currency, for the owner to start from. Source: cash fractions of the CLDR data as babel 2.18 carries
# them; the Hungarian step is from memory, since the CLDR data says whole units there.
USUAL_STEPS: dict[str, Decimal] = {
    "CAD": Decimal("0.05"),
    "CHF": Decimal("0.05"),
    "CZK": Decimal(1),
    "DKK": Decimal("0.50"),
    "HUF": Decimal(5),
    "NOK": Decimal(1),
    "SEK": Decimal(1),
}


def cash_rounding(total: Decimal, step: Decimal, currency: str) -> Decimal:
    """The amount to add to `total` so that coins of `step` can pay it; below nought where it goes down.

    Raises ValueError for a step of nought or less or finer than the currency, TypeError for a float.
    """
    if not isinstance(total, Decimal) or not isinstance(step, Decimal):
        raise TypeError("money is Decimal")
    if not step.is_finite() or step <= 0:
        raise ValueError("The smallest coin is more than nought.")
    if quantize(step, currency) != step:
        raise ValueError(f"{currency} has {minor_units(currency)} digits after the point, the coin has more.")
    coins = (total / step).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return quantize(coins * step - total, currency)
