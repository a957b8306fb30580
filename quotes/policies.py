"""From the rates' row, the customer and the place to the plain policy that the pure pricing reads."""

import re
from dataclasses import replace
from decimal import Decimal

from intake.models import Address, Order
from quotes.models import Rates
from quotes.pricing import Policy
from quotes.profile_text import from_plain
from quotes.refusals import Refused
from quotes.tax_rules import Profile, ProfileError
from quotes.trade_terms import TradeTerms, terms_of

_AREA = re.compile(r"[A-Z0-9]{1,3}")


def policy_of(
    rates: Rates, currency: str, *, minimum: bool = True, place: str = "", terms: TradeTerms | None = None
) -> Policy:
    """The policy of a version of the rates; `minimum=False` for documents that only repeat agreed prices.

    `place` is where the device goes, as the tax rules write it; `terms` are those of a customer of the trade.
    """
    policy = Policy(
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
        tax_profile=profile_of(rates),
        place=place,
        customer="consumer" if terms is None else terms.kind,
    )
    return policy if terms is None or terms.tier is None else _at_tier(policy, terms)


def policy_for(order: Order, rates: Rates, *, minimum: bool = True) -> Policy:
    """The policy for an order: its currency, where its device goes, and the terms of its customer."""
    terms = terms_of(order.customer)
    place = place_of(order.return_address)
    policy = policy_of(rates, order.currency, minimum=minimum, place=place, terms=terms)
    # Nobody is told of a fee before a device comes back, so none is owed for looking at it again.
    return replace(policy, declined_fee=Decimal(0)) if order.comeback_of_id is not None else policy


def profile_of(rates: Rates) -> Profile | None:
    """The tax profile of the rates; None where they only have percents by kind of line. Raises Refused."""
    if not rates.tax_rules:
        return None
    try:
        return from_plain(rates.tax_rules)
    except ProfileError as fault:
        raise Refused(f"The shop's tax rules cannot be used: {fault}", field="lines") from fault


def place_of(address: Address | None) -> str:
    """An address as the tax rules write a place: country and area ('US-CA'), or the country; "" for none."""
    if address is None or not address.country:
        return ""
    country, area = address.country.upper(), address.area.strip().upper()
    return f"{country}-{area}" if _AREA.fullmatch(area) else country


def _at_tier(policy: Policy, terms: TradeTerms) -> Policy:
    tier = terms.tier
    assert tier is not None
    lower = replace(policy, labour_factor=tier.labour_factor, parts_factor=tier.parts_factor)
    return replace(lower, return_post_price=Decimal(0)) if tier.post_free else lower
