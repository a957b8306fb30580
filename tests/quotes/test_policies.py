"""What the pricing is told of the day's rates, the place and the customer."""

from decimal import Decimal

import pytest

from intake.models import Address, Customer, Order
from quotes import drafts
from quotes.models import Rates, TradeAccount, TradeTier
from quotes.policies import place_of, policy_for
from quotes.refusals import Refused
from tests.bench_orders import at_quote, lines

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def order(technician, at):
    return at_quote(by=technician, at=at)


@pytest.mark.parametrize(
    ("country", "area", "place"),
    [
        ("US", "ca", "US-CA"),
        ("US", " CA ", "US-CA"),
        ("US", "California", "US"),
        ("GB", "", "GB"),
        ("", "CA", ""),
    ],
)
def test_place_is_country_and_area_where_the_area_is_a_code(country, area, place):
    assert place_of(Address(country=country, area=area)) == place


def test_parcel_nobody_announced_has_no_place():
    assert place_of(None) == ""


@pytest.fixture
def trade(order, technician, at):
    Customer.objects.update(trade=True)
    tier = TradeTier.objects.create(
        name="Board", labour_factor=Decimal("0.5"), parts_factor=Decimal("0.75"), post_free=True
    )
    TradeAccount.objects.create(customer=order.customer, tier=tier, changed_at=at, changed_by=technician)
    return Order.objects.get(pk=order.pk)


def test_tier_lowers_listed_prices_and_posts_free(trade, remedy, part, at):
    draft = drafts.draft_of(trade, at=at)
    draft = drafts.save_draft(draft=draft, lines=lines(remedy, part), words="", promise=None, at=at)
    nets = [line.net for line in drafts.preview(draft, at=at).priced.lines]
    assert nets == [Decimal(48), Decimal(3), Decimal(0)]


def test_price_set_by_hand_is_not_lowered(trade, remedy, at):
    draft = drafts.draft_of(trade, at=at)
    rows = [{**lines(remedy)[0], "price": "96"}]
    draft = drafts.save_draft(draft=draft, lines=rows, words="", promise=None, at=at)
    assert drafts.preview(draft, at=at).priced.total == Decimal(96)


def test_customer_of_the_trade_is_one_to_the_tax_rules(trade):
    assert policy_for(trade, Rates.current()).customer == "trade"


def test_tax_rules_that_cannot_be_read_are_said_in_a_sentence(order):
    Rates.objects.update(tax_rules={"name": "Here"})
    with pytest.raises(Refused, match="The shop's tax rules cannot be used: The tax profile has no version"):
        policy_for(order, Rates.current())
