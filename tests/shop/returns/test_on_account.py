"""Anybody can type a company's name, mail and phone: its account pays for what goes to where it is known to be."""

import datetime as dt

import pytest

from intake.models import Order
from intake.request_answers import AddressAnswer
from intake.stations import Station
from quotes.trade_accounts import TermsGiven, set_terms
from shop.returns import out, waiting
from shop.returns.on_account import may_go_on_account, on_account
from tests import walk

COMPANY = {"name": "Halcyon Fleet Ltd", "email": "fleet@example.com", "phone": "555-0142"}


def place(street: str = "9 Elsewhere Road") -> AddressAnswer:
    return AddressAnswer(
        name="Somebody Else", street=street, city="Anytown", area="ZZ", postcode="00000", country="US"
    )


@pytest.fixture
def fleet(bench, at):
    """A company on account, and the order by which the shop came to know it."""
    first = walk.request(at=at, address=place("4 Depot Lane"), **COMPANY)
    set_terms(customer=first.customer, given=TermsGiven(on_account=True), by=bench.owner, at=at)
    return first


def at_goods_out(bench, at, street: str) -> Order:
    order = walk.request(at=at, address=place(street), **COMPANY)
    return Order.objects.get(pk=walk.to(order, Station.GOODS_OUT, by=bench.technician, at=at).pk)


def test_parcel_to_a_new_address_waits_for_a_person(bench, at, fleet):
    order = at_goods_out(bench, at, "9 Elsewhere Road")
    assert order.customer_id == fleet.customer_id
    assert "nothing of theirs ever went to this address" in out.gate(order)
    [waits] = waiting.goods_out(at=at).unpaid
    assert waits.order == order
    out.let_go_unpaid(order=order, reason="Rang the fleet office", by=bench.owner, at=at)
    assert out.gate(order) == ""


def test_parcel_to_the_first_address_goes_on_account_however_it_is_written(bench, at, fleet):
    order = at_goods_out(bench, at, "4  DEPOT lane")
    assert out.gate(order) == ""
    assert [waits.order for waits in waiting.goods_out(at=at).to_pack] == [order]


def test_address_that_a_parcel_went_to_is_known_from_then_on(bench, at, fleet, django_assert_num_queries):
    first = at_goods_out(bench, at, "9 Elsewhere Road")
    Order.objects.filter(pk=first.pk).update(sent_at=at + dt.timedelta(days=1))
    second = at_goods_out(bench, at, "9 Elsewhere Road")
    orders = [second, fleet]
    with django_assert_num_queries(5):  # three, and each order's account
        assert on_account(orders) == {second.pk, fleet.pk}


def test_customer_without_an_account_never_goes_unpaid(bench, at):
    assert not may_go_on_account(walk.request(at=at))
