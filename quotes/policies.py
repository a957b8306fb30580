"""From the rates' row to the plain policy that the pure pricing reads."""

from decimal import Decimal

from quotes.models import Rates
from quotes.pricing import Policy


def policy_of(rates: Rates, currency: str, *, minimum: bool = True) -> Policy:
    """The policy of a version of the rates; `minimum=False` for documents that only repeat agreed prices."""
    return Policy(
        currency=currency,
        rate_per_minute=rates.rate_per_minute,
        cost_per_minute=rates.cost_per_minute,
        tax_rates={kind: Decimal(percent) for kind, percent in rates.tax_percents.items()},
        return_post_price=rates.return_post_price,
        return_post_cost=rates.return_post_cost,
        tax_name=rates.tax_name,
        tax_inclusive=rates.tax_inclusive,
        rounding="line" if rates.rounding == "line" else "document",
        price_ending=rates.price_ending,
        markup_bands=[
            (None if up_to is None else Decimal(up_to), Decimal(factor))
            for up_to, factor in rates.markup_bands
        ],
        minimum_charge=rates.minimum_charge if minimum else Decimal(0),
        declined_fee=rates.declined_fee,
    )
