"""On what terms a customer buys: who they are to the tax office, their prices, and whether goods leave before money."""

import datetime as dt
import zoneinfo
from dataclasses import dataclass
from typing import Literal

from django.utils import timezone

from intake.models import Customer, Letterhead
from quotes.models import TradeAccount, TradeTier

Kind = Literal["consumer", "trade", "certificate"]


@dataclass(frozen=True)
class TradeTerms:
    """`kind` as the tax profiles have it; `certificate` only while the paper they showed is in date.

    `payment_days` is None where the shop's own rates decide.
    """

    tier: TradeTier | None = None
    kind: Kind = "consumer"
    tax_number: str = ""
    on_account: bool = False
    payment_days: int | None = None


CONSUMER = TradeTerms()


def terms_of(customer: Customer | None, *, on: dt.date | None = None) -> TradeTerms:
    """The terms of a customer on a day of the shop's calendar (today where none is given).

    A customer of the trade without an account of their own has trade terms without a tier. Nobody known is a consumer.
    """
    if customer is None or not customer.trade:
        return CONSUMER
    account = (
        TradeAccount.objects.select_related("tier").filter(customer_id=customer.pk).first()
        if customer.pk
        else None
    )
    if account is None:
        return TradeTerms(kind="trade", on_account=True)
    return terms_of_account(account, on=on)


def terms_of_account(account: TradeAccount, *, on: dt.date | None = None) -> TradeTerms:
    """The terms of an account that was read already; a tier that is no longer given counts as none."""
    tier = account.tier if account.tier is not None and account.tier.active else None
    days = account.payment_days
    if days is None and tier is not None:
        days = tier.payment_days
    return TradeTerms(
        tier=tier,
        kind="certificate" if certificate_holds(account, on=on) else "trade",
        tax_number=account.tax_number,
        on_account=account.on_account,
        payment_days=days,
    )


def certificate_holds(account: TradeAccount, *, on: dt.date | None = None) -> bool:
    """Whether the paper they showed is in date; one without a last day holds until it is taken away."""
    if not account.certificate:
        return False
    last = account.certificate_until
    return last is None or last >= (on or shop_today())


def shop_today() -> dt.date:
    """Today on the shop's own calendar; of UTC before the shop is set up."""
    head = Letterhead.objects.order_by("version").last()
    zone = zoneinfo.ZoneInfo(head.zone) if head is not None else dt.UTC
    return timezone.now().astimezone(zone).date()


def goes_on_account(customer: Customer | None) -> bool:
    """Whether goods leave before they are paid, for lists that selected `trade_account` with the customer."""
    if customer is None or not customer.trade:
        return False
    account: TradeAccount | None = getattr(customer, "trade_account", None)
    return True if account is None else account.on_account
