"""Money in and out: booked once, never changed, never more out than came in too much."""

from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction

from intake.models import HistoryEntry, Letter
from quotes import billing, payments
from quotes.models import Payment, Rates
from quotes.refusals import Refused
from tests.bench_orders import at_diagnosis

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def order(technician, at):
    """12.00 are owed for the return post."""
    order = at_diagnosis(by=technician, at=at)
    billing.bill_return(order=order, rates=Rates.current(), by=technician, at=at, why="not mendable")
    return order


def pay(order, technician, at, amount, key="p1", **other):
    return payments.record_payment(
        order=order, kind="transfer", amount=Decimal(amount), key=key, by=technician, at=at, **other
    )


def give_back(order, technician, at, amount, key="r1"):
    return payments.refund(
        order=order, kind="transfer", amount=Decimal(amount), key=key, by=technician, at=at, note=""
    )


def test_part_payment_leaves_the_rest_owed(order, technician, at):
    pay(order, technician, at, "5.25")
    assert billing.balance(order) == Decimal("6.75")


def test_payment_with_the_same_key_books_once(order, technician, at):
    assert pay(order, technician, at, "5") == pay(order, technician, at, "7")
    assert billing.balance(order) == Decimal("7.00")
    assert Letter.objects.filter(kind="paid").count() == 1


def test_over_payment_is_taken_and_only_the_excess_goes_back(order, technician, at):
    pay(order, technician, at, "15")
    with pytest.raises(Refused, match="Only 3.00 can go back"):
        give_back(order, technician, at, "3.01")
    give_back(order, technician, at, "3")
    assert billing.balance(order) == 0
    with pytest.raises(Refused, match="Only 0 can go back|Only 0.00 can go back"):
        give_back(order, technician, at, "0.01", key="r2")


def test_refund_with_the_same_key_books_once(order, technician, at):
    pay(order, technician, at, "15")
    assert give_back(order, technician, at, "3") == give_back(order, technician, at, "3")
    assert Payment.objects.count() == 2


def test_refund_after_a_credit_note_gives_everything_back(order, technician, at):
    pay(order, technician, at, "12")
    billing.credit(invoice=order.invoices.get(), why="Goodwill", by=technician, at=at)
    assert give_back(order, technician, at, "12").amount == Decimal(-12)
    assert billing.balance(order) == 0


@pytest.mark.parametrize("amount", ["0", "-1"])
def test_amount_of_nought_or_less_is_refused_both_ways(order, technician, at, amount):
    for act in (pay, give_back):
        with pytest.raises(Refused) as refused:
            act(order, technician, at, amount)
        assert refused.value.field == "amount"
    assert not Payment.objects.exists()


def test_payment_keeps_fee_and_currency_and_stands_in_the_history(order, technician, at):
    payment = pay(order, technician, at, "12", fee=Decimal("0.65"))
    assert (payment.fee, payment.currency) == (Decimal("0.65"), "USD")
    assert HistoryEntry.objects.get(what="payment").facts == {
        "amount": "12.00",
        "currency": "USD",
        "kind": "transfer",
    }


def test_payment_refuses_every_change(order, technician, at):
    pay(order, technician, at, "12")
    for change in (lambda: Payment.objects.update(amount=1), lambda: Payment.objects.all().delete()):
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            change()
