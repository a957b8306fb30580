"""The most that may be billed: what was agreed, with the shop's overrun rule on top, or what was told before."""

from decimal import Decimal
from typing import cast

from intake.money import quantize
from quotes.agreed import agreed_no_fix_total, agreed_total
from quotes.models import Decision, Quote
from quotes.overrun import OverrunRule, ceiling


def ceiling_of(decision: Decision, *, added: bool = True) -> Decimal:
    """The highest total of the bill for what was agreed; without lines that were `added`, the agreed total itself.

    What a standing limit agreed stays within it: the customer named that sum as the most, and was never asked.
    """
    rates = decision.quote.rates
    most = ceiling(
        agreed_total(decision),
        rule=cast(OverrunRule, rates.overrun_rule) if added else "none",
        sum_=rates.overrun_sum,
        percent=rates.overrun_percent,
        currency=decision.currency,
    )
    limit = decision.quote.order.standing_limit
    if decision.channel != Decision.Channel.LIMIT or limit is None:
        return most
    return min(most, quantize(max(limit, agreed_total(decision)), decision.currency))


def told_total(quote: Quote, why: str) -> Decimal:
    """What the quote said is owed when nothing is mended: after "no fix", "recycled", or sent back."""
    if why == "no fix":
        decision: Decision | None = getattr(quote, "decision", None)
        return quote.no_fix_total if decision is None else agreed_no_fix_total(decision)
    return quote.recycle_total if why == "recycled" else quote.back_total
