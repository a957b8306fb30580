"""The terms of trade customers: who is one, on what terms, changed by the owner and told in the history."""

import datetime as dt
from dataclasses import dataclass

from intake import history
from intake.history import in_turn
from intake.models import Customer, Order, Person
from quotes.models import TradeAccount, TradeTier
from quotes.refusals import Refused


@dataclass(frozen=True)
class TermsGiven:
    """What the owner typed. `payment_days` None: as the tier or the rates have it."""

    tier: TradeTier | None = None
    tax_number: str = ""
    certificate: str = ""
    certificate_until: dt.date | None = None
    on_account: bool = True
    payment_days: int | None = None


FIELDS = ("tier", "tax_number", "certificate", "certificate_until", "on_account", "payment_days")


@in_turn
def set_terms(*, customer: Customer, given: TermsGiven, by: Person, at: dt.datetime) -> TradeAccount | None:
    """Make a customer one of the trade, or change their terms; None where nothing would be different.

    Bills that were issued keep the terms of their day. Raises Refused for a last day without a certificate.
    """
    _owner_only(by)
    if given.certificate_until is not None and not given.certificate:
        raise Refused("Say which certificate it is the last day of.", field="certificate")
    known = TradeAccount.objects.filter(customer=customer).first()
    if known is not None and customer.trade and _same(known, given):
        return None
    account = known or TradeAccount(customer=customer)
    for name in FIELDS:
        setattr(account, name, getattr(given, name))
    account.changed_at, account.changed_by = at, by
    account.save()
    _mark(customer, True)
    _note("trade terms set", account, by, at)
    return account


def _same(known: TradeAccount, given: TermsGiven) -> bool:
    return all(getattr(known, name) == getattr(given, name) for name in FIELDS)


@in_turn
def end_terms(*, customer: Customer, by: Person, at: dt.datetime) -> None:
    """Make a customer a consumer again. The terms stay written down, and hold again if they come back."""
    _owner_only(by)
    if not customer.trade:
        raise Refused("This customer is not one of the trade.")
    _mark(customer, False)
    history.record(
        order=None, what="trade terms ended", by=by.username, at=at, facts={"customer": customer.pk}
    )


@in_turn
def account_of(*, customer: Customer, by: Person, at: dt.datetime) -> TradeAccount:
    """The account of a trade customer; one marked before there were accounts gets one with the usual terms."""
    known = TradeAccount.objects.filter(customer=customer).first()
    if known is not None:
        return known
    made = set_terms(customer=customer, given=TermsGiven(), by=by, at=at)
    if made is None:
        raise RuntimeError("a customer without an account got none")
    return made


def _mark(customer: Customer, trade: bool) -> None:
    Customer.objects.filter(pk=customer.pk).update(trade=trade)
    customer.trade = trade
    # What is kept of orders says whether they are of the trade.
    for order in Order.objects.filter(customer=customer, arrived_at__isnull=False).values_list(
        "pk", flat=True
    ):
        history.touch(order)


def _owner_only(by: Person) -> None:
    if not by.is_owner:
        raise Refused("Only the owner sets the terms of the trade.")


def _note(what: str, account: TradeAccount, by: Person, at: dt.datetime) -> None:
    history.record(
        order=None,
        what=what,
        by=by.username,
        at=at,
        facts={
            "customer": account.customer_id,
            "tier": account.tier.name if account.tier else "",
            "on_account": account.on_account,
            "payment_days": account.payment_days,
            "certificate_until": account.certificate_until.isoformat() if account.certificate_until else "",
        },
    )
