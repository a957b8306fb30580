"""A bill of what was told before, when the tax that holds today would lift it above that: the shop bears the difference.

Own rule, no source: what was said to be owed is payable in all, whatever became of the customer's terms since.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_DOWN, Decimal

from intake.money import smallest
from quotes.pricing import LineInput, Policy, Priced, price


def priced_within(lines: Sequence[LineInput], policy: Policy, most: Decimal) -> Priced:
    """Price the lines; where they come to more than `most`, lower those whose tax was not settled when they were quoted,
    the last first, until they do not. What is nought then is left out. Lines that were quoted stay as they are, so that
    the total may still be above `most`: the caller looks. Raises PricingError.
    """
    kept = list(lines)
    for place in reversed(range(len(kept))):
        while kept[place].tax_percent is None and kept[place].unit_price:
            priced = price(kept, policy)
            over = priced.total - most
            if over <= 0:
                break
            kept[place] = _lowered(kept[place], over, priced.lines[place].gross, policy.currency)
    return price([line for line in kept if line.unit_price], policy)


def _lowered(line: LineInput, over: Decimal, gross: Decimal, currency: str) -> LineInput:
    """By its share of what is over, tax counted in, and by a cent at least."""
    unit, cent = line.unit_price or Decimal(0), smallest(currency)
    share = unit * (gross - over) / gross if gross > over else Decimal(0)
    return replace(line, unit_price=max(min(share.quantize(cent, ROUND_DOWN), unit - cent), Decimal(0)))
