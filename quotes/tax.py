"""Tax by group of rate, on the document or line by line, on prices without or with the tax in them.

Arithmetic of EN 16931: the tax of a rate is round(base x percent / 100), half up, and sums of rounded amounts are not
rounded again (BR-CO-10 to BR-CO-17, BR-S-09). The standard names no direction of rounding and the EU leaves the level to its
member states (C-484/06, C-302/07, seen in summaries): so the level is a setting.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction
from typing import Literal

from intake.money import minor_units, quantize

Rounding = Literal["document", "line"]


@dataclass(frozen=True)
class TaxGroup:
    """All lines of one rate: `rate` in percent, `base` without tax, `tax`, both at the currency's digits."""

    name: str
    rate: Decimal
    base: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        """Base and tax together."""
        return self.base + self.tax


@dataclass(frozen=True)
class Taxed:
    """`groups` by rising rate; `taxes` one for each amount given, in its order, adding up to the groups' tax."""

    groups: tuple[TaxGroup, ...]
    taxes: tuple[Decimal, ...]


def tax_lines(
    amounts: Sequence[tuple[Decimal, Decimal]],
    *,
    currency: str,
    name: str,
    inclusive: bool,
    rounding: Rounding,
) -> Taxed:
    """Tax of line amounts given as (amount, percent), each amount already at the currency's digits.

    With `inclusive` the amounts hold the tax. With rounding 'document' each rate's tax is rounded once and then shared
    among its lines in whole cents; with 'line' each line's tax is rounded and the group is their sum.
    Raises ValueError for a rate below nought or an unknown rounding.
    """
    if rounding not in ("document", "line"):
        raise ValueError(f"rounding is 'document' or 'line', not {rounding!r}")
    if any(rate < 0 for _, rate in amounts):
        raise ValueError("a tax rate cannot be below nought")
    taxes = [Decimal(0)] * len(amounts)
    groups = []
    for rate in sorted({rate for _, rate in amounts}):
        places = [place for place, (_, own) in enumerate(amounts) if own == rate]
        parts = [amounts[place][0] for place in places]
        if rounding == "line":
            shares = [_tax(part, rate, currency, inclusive) for part in parts]
        else:
            shares = _shared(parts, rate, currency, inclusive)
        for place, share in zip(places, shares, strict=True):
            taxes[place] = share
        total, tax = sum(parts, Decimal(0)), sum(shares, Decimal(0))
        groups.append(TaxGroup(name, rate, total - tax if inclusive else total, tax))
    return Taxed(tuple(groups), tuple(taxes))


def _exact(amount: Decimal, rate: Decimal, inclusive: bool) -> Fraction:
    divisor = Fraction(100) + Fraction(rate) if inclusive else Fraction(100)
    return Fraction(amount) * Fraction(rate) / divisor


def _tax(amount: Decimal, rate: Decimal, currency: str, inclusive: bool) -> Decimal:
    exact = _exact(amount, rate, inclusive)
    # A quotient of 100 + rate may never end. Cut far behind the cent it rounds as the exact one does, since a true half
    # of a cent has few digits and divides exactly.
    return quantize(Decimal(exact.numerator) / Decimal(exact.denominator), currency)


def _shared(parts: list[Decimal], rate: Decimal, currency: str, inclusive: bool) -> list[Decimal]:
    """The group's tax shared among its lines by largest remainder, so that the lines add up to the cent."""
    cent = Decimal(1).scaleb(-minor_units(currency))
    whole = _tax(sum(parts, Decimal(0)), rate, currency, inclusive)
    exact = [_exact(part, rate, inclusive) for part in parts]
    floors = [_floor(share, cent) for share in exact]
    left = int((whole - sum(floors, Decimal(0))) / cent)
    behind = sorted(
        range(len(parts)), key=lambda place: (Fraction(floors[place]) - exact[place], -parts[place])
    )
    for step in range(abs(left)):
        floors[behind[step % len(parts)]] += cent if left > 0 else -cent
    return floors


def _floor(share: Fraction, cent: Decimal) -> Decimal:
    return (Decimal((share / Fraction(cent)).__floor__()) * cent).quantize(cent, rounding=ROUND_FLOOR)
