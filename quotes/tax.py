"""Tax by category and rate, on the document or line by line, on prices without or with the tax in them.

Arithmetic of EN 16931: the tax of a rate is round(base x percent / 100), half up, and sums of rounded amounts are not
rounded again (BR-CO-10 to BR-CO-17, BR-S-09). The standard names no direction of rounding and the EU leaves the level to its
member states (C-484/06, C-302/07, seen in summaries): so the level is a setting.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction
from typing import Literal

from intake.money import quantize, smallest

Rounding = Literal["document", "line"]

# EN 16931, BR-E-10, BR-AE-10, BR-IC-10, BR-G-10, BR-O-10: these groups give their reason in words, the others never do.
NEED_A_REASON = frozenset({"E", "AE", "K", "G", "O"})


@dataclass(frozen=True)
class Taxable:
    """An amount at the currency's digits, its percent, and the category letter of EN 16931 with its reason in words."""

    amount: Decimal
    rate: Decimal
    category: str = ""
    reason: str = ""

    @property
    def letter(self) -> str:
        """The category; where none is given, S for a rate and Z for none."""
        return self.category or ("S" if self.rate else "Z")


@dataclass(frozen=True)
class TaxGroup:
    """All amounts of one category and rate: `rate` in percent, `base` without tax, `tax`, both at the currency's digits.

    `reason` is the exemption text (BT-120); empty for the categories that have none.
    """

    name: str
    rate: Decimal
    base: Decimal
    tax: Decimal
    category: str = ""
    reason: str = ""

    @property
    def gross(self) -> Decimal:
        """Base and tax together."""
        return self.base + self.tax


@dataclass(frozen=True)
class Taxed:
    """`groups` by rising rate, then category; `taxes` one for each amount given, adding up to the groups' tax."""

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
    """As `tax_of`, for plain pairs of (amount, percent)."""
    pairs = [Taxable(amount, rate) for amount, rate in amounts]
    return tax_of(pairs, currency=currency, name=name, inclusive=inclusive, rounding=rounding)


def tax_of(
    items: Sequence[Taxable],
    *,
    currency: str,
    name: str,
    inclusive: bool,
    rounding: Rounding,
) -> Taxed:
    """Tax of amounts that are each at the currency's digits already; an allowance is an amount below nought.

    With `inclusive` the amounts hold the tax. With rounding 'document' each group's tax is rounded once and then shared
    among its amounts in whole cents; with 'line' each amount's tax is rounded and the group is their sum.
    Raises ValueError for a rate below nought or an unknown rounding.
    """
    if rounding not in ("document", "line"):
        raise ValueError(f"rounding is 'document' or 'line', not {rounding!r}")
    if any(item.rate < 0 for item in items):
        raise ValueError("a tax rate cannot be below nought")
    places: dict[tuple[Decimal, str], list[int]] = {}
    for place, item in enumerate(items):
        places.setdefault((item.rate, item.letter), []).append(place)
    taxes = [Decimal(0)] * len(items)
    groups = []
    for rate, category in sorted(places):
        own = places[rate, category]
        parts = [items[place].amount for place in own]
        if rounding == "line":
            shares = [_tax(part, rate, currency, inclusive) for part in parts]
        else:
            shares = _shared(parts, rate, currency, inclusive)
        for place, share in zip(own, shares, strict=True):
            taxes[place] = share
        total, tax = sum(parts, Decimal(0)), sum(shares, Decimal(0))
        reason = _reason(category, [items[place].reason for place in own])
        groups.append(TaxGroup(name, rate, total - tax if inclusive else total, tax, category, reason))
    return Taxed(tuple(groups), tuple(taxes))


def _reason(category: str, reasons: Sequence[str]) -> str:
    return " ".join(sorted({reason for reason in reasons if reason})) if category in NEED_A_REASON else ""


def exact_tax(amount: Decimal, rate: Decimal, *, inclusive: bool) -> Fraction:
    """The tax on (or within) an amount before any rounding."""
    divisor = Fraction(100) + Fraction(rate) if inclusive else Fraction(100)
    return Fraction(amount) * Fraction(rate) / divisor


def _tax(amount: Decimal, rate: Decimal, currency: str, inclusive: bool) -> Decimal:
    if not inclusive:
        return quantize(amount * rate / 100, currency)
    exact = exact_tax(amount, rate, inclusive=True)
    # A quotient of 100 + rate may never end. Cut far behind the cent it rounds as the exact one does, since a true half
    # of a cent has few digits and divides exactly.
    return quantize(Decimal(exact.numerator) / Decimal(exact.denominator), currency)


def _shared(parts: list[Decimal], rate: Decimal, currency: str, inclusive: bool) -> list[Decimal]:
    """The group's tax shared among its amounts, so that they add up to the cent."""
    if not rate:
        return [quantize(Decimal(0), currency)] * len(parts)
    whole = _tax(sum(parts, Decimal(0)), rate, currency, inclusive)
    if len(parts) == 1:
        return [whole]
    return share_out(whole, [exact_tax(part, rate, inclusive=inclusive) for part in parts], parts, currency)


def share_out(
    whole: Decimal, exact: Sequence[Fraction], weights: Sequence[Decimal], currency: str
) -> list[Decimal]:
    """`whole` in shares of whole cents next to their exact values, by largest remainder; a tie goes to the heavier one."""
    cent = smallest(currency)
    floors = [_floor(share, cent) for share in exact]
    left = int((whole - sum(floors, Decimal(0))) / cent)
    behind = sorted(
        range(len(exact)), key=lambda place: (Fraction(floors[place]) - exact[place], -weights[place])
    )
    for step in range(abs(left)):
        floors[behind[step % len(floors)]] += cent if left > 0 else -cent
    return floors


def _floor(share: Fraction, cent: Decimal) -> Decimal:
    return (Decimal((share / Fraction(cent)).__floor__()) * cent).quantize(cent, rounding=ROUND_FLOOR)
