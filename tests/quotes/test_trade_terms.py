"""Trade terms: who is a consumer, who is of the trade, and how long a certificate holds."""

import datetime as dt

import pytest

from intake.models import Customer
from quotes.models import TradeAccount, TradeTier
from quotes.trade_terms import CONSUMER, goes_on_account, terms_of

DAY = dt.date(2026, 2, 2)


@pytest.fixture
def customer(db, at):
    return Customer.objects.create(name="Stallmere Phones", trade=True, created_at=at)


def account(customer, owner, at, **more):
    return TradeAccount.objects.create(customer=customer, changed_at=at, changed_by=owner, **more)


def test_terms_of_nobody_and_of_a_consumer_are_a_consumers(customer):
    customer.trade = False
    assert terms_of(None) == terms_of(customer) == CONSUMER
    assert (CONSUMER.kind, CONSUMER.on_account) == ("consumer", False)


def test_terms_without_an_account_are_of_the_trade_without_a_tier(customer, letterhead):
    terms = terms_of(customer)
    assert (terms.kind, terms.tier, terms.on_account, terms.payment_days) == ("trade", None, True, None)


def test_terms_take_the_tiers_days_unless_the_account_has_its_own(customer, owner, at, letterhead):
    tier = TradeTier.objects.create(name="Shops", payment_days=30)
    row = account(customer, owner, at, tier=tier)
    assert (terms_of(customer).tier, terms_of(customer).payment_days) == (tier, 30)
    TradeAccount.objects.filter(pk=row.pk).update(payment_days=7)
    assert terms_of(customer).payment_days == 7
    TradeTier.objects.update(active=False)
    assert terms_of(customer).tier is None


@pytest.mark.parametrize(
    ("until", "kind"),
    [(None, "certificate"), (DAY, "certificate"), (DAY - dt.timedelta(days=1), "trade")],
)
def test_certificate_holds_up_to_its_last_day(customer, owner, at, letterhead, until, kind):
    account(customer, owner, at, certificate="R-17", certificate_until=until)
    assert terms_of(customer, on=DAY).kind == kind


def test_customer_without_account_terms_pays_first(customer, owner, at):
    account(customer, owner, at, on_account=False)
    assert not goes_on_account(Customer.objects.select_related("trade_account").get())
    assert not terms_of(customer).on_account
    assert not goes_on_account(None)
