"""Priced lines and tax groups as they stand on a quote or an invoice."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class PricedLine:
    """One line; money in the head's currency, `tax_percent` as 8 for 8 %, `unit_price` without tax, for `per` units.

    `allowance` and `charge` are of the whole line, and are in `net` already.
    """

    text: str
    quantity: Decimal
    unit_price: Decimal
    net: Decimal
    tax_percent: Decimal = Decimal(0)
    per: Decimal = Decimal(1)
    allowance: Decimal = Decimal(0)
    charge: Decimal = Decimal(0)


@dataclass(frozen=True)
class TaxRow:
    """Tax of one rate: `net` is what it is taken on."""

    percent: Decimal
    net: Decimal
    tax: Decimal
