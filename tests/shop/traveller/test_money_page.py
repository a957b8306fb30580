"""Money on the sheet: the bill, payments once, what goes back, credit by the owner alone."""

import re
from decimal import Decimal

import pytest
from django.test import Client

from intake.stations import Station
from quotes import billing
from quotes.models import Payment
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)


@pytest.fixture
def owner_client(bench):
    client = Client()
    client.force_login(bench.owner)
    return client


def post(client, order, act, **fields):
    return client.post(f"/sheet/{order.code}/money/{act}/", fields)


def page(client, order):
    return client.get(f"/sheet/{order.code}/").content.decode()


def test_bill_stands_on_the_sheet_with_its_paper(staff, order):
    text = page(staff, order)
    invoice = order.invoices.get()
    assert f"Invoice {invoice.number}" in text and "Owed: " in text
    assert re.search(r'href="/paper/\d+/">Invoice ', text)


def test_payment_is_booked_once_however_often_it_is_sent(staff, order):
    owed = billing.balance(order)
    for _ in range(2):
        assert post(staff, order, "pay", kind="transfer", amount=str(owed), key="pay-1").status_code == 303
    assert Payment.objects.count() == 1 and billing.balance(order) == 0
    assert "Nothing is owed." in page(staff, order)


def test_part_payment_leaves_the_rest_and_over_payment_asks_for_it_back(staff, order):
    owed = billing.balance(order)
    post(staff, order, "pay", kind="cash", amount="20", key="a")
    assert billing.balance(order) == owed - 20
    post(staff, order, "pay", kind="transfer", amount=str(owed), key="b", over="on")
    assert billing.balance(order) == -20
    text = page(staff, order)
    assert "To be paid back:" in text and "Write down money that went back" in text


def test_more_than_is_owed_is_asked_about_once(staff, order):
    owed = billing.balance(order)
    asked = post(staff, order, "pay", kind="cash", amount=str(owed * 10), key="ten", note="by hand")
    text = asked.content.decode()
    assert asked.status_code == 422 and "more than is owed. Tick if" in text and 'name="over"' in text
    assert 'value="by hand"' in text and billing.balance(order) == owed
    for _ in range(2):
        post(staff, order, "pay", kind="cash", amount=str(owed * 10), key="ten", over="on")
    assert billing.balance(order) == -9 * owed
    assert 'name="over"' not in page(staff, order)


def test_card_fee_comes_from_the_rates_unless_the_owner_types_it(staff, owner_client, order):
    post(staff, order, "pay", kind="card", amount="100", key="c1", fee="0")
    post(owner_client, order, "pay", kind="card", amount="1", key="c2", fee="0.07")
    post(staff, order, "pay", kind="cash", amount="1", key="c3")
    fees = dict(Payment.objects.values_list("key", "fee"))
    rates = order.quotes.get().rates
    assert fees == {
        "c1": rates.card_percent + rates.card_fixed,
        "c2": Decimal("0.07"),
        "c3": Decimal(0),
    }
    assert fees["c1"] > 0
    assert "Cost us" not in page(staff, order) and "Cost us" in page(owner_client, order)


@pytest.mark.parametrize(
    ("amount", "sentence"),
    [
        ("", "Type an amount"),
        ("-5", "An amount cannot be below nought."),
        ("0", "more than nought"),
        ("1.200", "can be read in two ways"),
        ("12.3456", "digits after the point"),
        ("9999999", "over 1,000,000"),
        ("much", "That is not an amount."),
    ],
)
def test_wrong_amount_is_answered_beside_the_field_and_kept(staff, order, amount, sentence):
    answer = post(staff, order, "pay", kind="cash", amount=amount, key="d", note="on the table")
    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text and 'value="on the table"' in text
    assert not Payment.objects.exists()


def test_payment_without_a_way_is_refused(staff, order):
    answer = post(staff, order, "pay", amount="5", key="e")
    assert answer.status_code == 422 and "Say how it was paid." in answer.content.decode()


def test_refund_never_exceeds_what_is_over(staff, order):
    owed = billing.balance(order)
    refused = post(staff, order, "refund", kind="cash", amount="5", key="f", note="asked")
    assert refused.status_code == 422 and "Credit the invoice first" in refused.content.decode()
    post(staff, order, "pay", kind="cash", amount=str(owed + 5), key="g", over="on")
    for _ in range(2):
        post(staff, order, "refund", kind="cash", amount="5", key="h", note="paid too much")
    assert billing.balance(order) == 0
    assert Payment.objects.get(key="h").amount == -5


def test_credit_is_the_owners_alone_and_needs_a_reason(staff, owner_client, order):
    invoice = order.invoices.get()
    given = {"invoice": invoice.pk, "why": "Wrong customer"}
    assert "Credit INV" not in page(staff, order)
    assert post(staff, order, "credit", **given).status_code == 403
    refused = post(owner_client, order, "credit", invoice=invoice.pk, why=" ")
    assert refused.status_code == 422 and "the customer reads it." in refused.content.decode()
    post(owner_client, order, "credit", **given)
    assert billing.balance(order) == 0 and order.invoices.filter(kind="credit").count() == 1
    again = post(owner_client, order, "credit", **given)
    assert again.status_code == 422 and "was credited already" in again.content.decode()


def test_credit_of_anothers_invoice_is_not_found(owner_client, order, bench, at):
    other = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    assert post(owner_client, order, "credit", invoice=other.invoices.get().pk, why="x").status_code == 404


def test_money_can_still_be_booked_when_it_is_home(staff, order, bench, at):
    walk.to(order, Station.HOME, by=bench.technician, at=at)
    text = page(staff, order)
    assert "Bill and payments" in text
    refused = post(staff, order, "pay", kind="cash", amount="x", key="z", note="by hand")
    assert refused.status_code == 422 and 'value="by hand"' in refused.content.decode()
    post(staff, order, "pay", kind="cash", amount="2", key="z", over="on")
    assert billing.balance(order) == -2
