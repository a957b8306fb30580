"""A payment taken back by the payer's bank: held apart, never above the payment, ended once."""

import datetime as dt
from decimal import Decimal

import pytest

from intake.models import HistoryEntry
from quotes import billing, disputes, payments
from quotes.ledger import balance_of
from quotes.models import Dispute, DisputeEnd, Entry
from quotes.proof import prove
from quotes.refusals import Refused
from tests.quotes.money_orders import agreed, billed, paid

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def quote(technician, at, remedy, part):
    return agreed(by=technician, at=at, remedy=remedy, part=part)


@pytest.fixture
def payment(quote, technician, at):
    """112.32, all that is owed, by card."""
    billed(quote, by=technician, at=at)
    return paid(quote.order, "112.32", by=technician, at=at)


def take_back(payment, at, amount="112.32", key="d", **other):
    given = {
        "fee": Decimal(15),
        "why": "Not known to the payer",
        "answer_by": dt.date(2026, 2, 20),
        "by": None,
    }
    return disputes.open_dispute(
        payment=payment, amount=Decimal(amount), key=key, at=at, **{**given, **other}
    )


def test_disputed_money_counts_as_not_paid_and_is_held_apart(payment, at):
    take_back(payment, at)
    assert billing.balance(payment.order) == Decimal("112.32")
    assert balance_of("held") == Decimal("112.32")
    assert (balance_of("card"), balance_of("fees"), balance_of("receivable")) == (-15, 15, 0)
    assert HistoryEntry.objects.get(what="dispute opened").who == "provider"
    assert prove() == []


def test_won_it_is_paid_again_and_the_fee_is_gone(payment, owner, at):
    disputes.end_dispute(dispute=take_back(payment, at), won=True, by=owner, at=at)
    assert (billing.balance(payment.order), balance_of("held"), balance_of("fees")) == (0, 0, 15)
    assert prove() == []


def test_lost_it_is_owed_again_and_can_be_written_off(payment, owner, at):
    disputes.end_dispute(dispute=take_back(payment, at), won=False, by=owner, at=at)
    order = payment.order
    assert (billing.balance(order), balance_of("receivable")) == (Decimal("112.32"), Decimal("112.32"))
    payments.write_off(order=order, amount=Decimal("112.32"), key="w", why="Lost", by=owner, at=at)
    assert (billing.balance(order), prove()) == (0, [])


def test_dispute_of_a_part_and_of_the_rest_never_above_the_payment(payment, owner, at):
    first = take_back(payment, at, "100")
    with pytest.raises(Refused, match=r"Only 12\.32 of this payment") as refused:
        take_back(payment, at, "12.33", key="d2")
    assert refused.value.field == "amount"
    take_back(payment, at, "12.32", key="d2")
    disputes.end_dispute(dispute=first, won=True, by=owner, at=at)
    take_back(payment, at, "100", key="d3")
    assert prove() == []


def test_same_key_opens_once_and_same_ending_ends_once(payment, owner, at):
    dispute = take_back(payment, at)
    assert take_back(payment, at, "1") == dispute
    ends = [disputes.end_dispute(dispute=dispute, won=True, by=owner, at=at) for _ in range(2)]
    assert ends[0] == ends[1]
    with pytest.raises(Refused, match="ended already: it was won"):
        disputes.end_dispute(dispute=dispute, won=False, by=owner, at=at)
    assert (Dispute.objects.count(), DisputeEnd.objects.count()) == (1, 1)
    assert Entry.objects.filter(what__startswith="dispute").count() == 2


@pytest.mark.parametrize(
    ("given", "field"),
    [({"amount": "0"}, "amount"), ({"fee": Decimal(-1)}, "fee"), ({"why": " "}, "why")],
)
def test_dispute_that_says_too_little_is_refused_beside_its_field(payment, at, given, field):
    with pytest.raises(Refused) as refused:
        take_back(payment, at, **given)
    assert refused.value.field == field


def test_cash_and_money_that_went_back_are_not_disputed(payment, technician, at):
    cash = paid(payment.order, "5", by=technician, at=at, kind="cash")
    back = payments.refund(
        order=payment.order, kind="card", amount=Decimal(5), key="r", by=technician, at=at, note=""
    )
    for row, said in ((cash, "Cash cannot"), (back, "Only money that came in")):
        with pytest.raises(Refused, match=said):
            take_back(row, at, "1")


def test_deposit_taken_back_before_the_bill_is_neither_held_nor_owed(quote, technician, owner, at):
    deposit = paid(quote.order, "30", by=technician, at=at, purpose="deposit")
    dispute = take_back(deposit, at, "30")
    assert (billing.deposit_held(quote.order), billing.balance(quote.order)) == (0, 0)
    assert billed(quote, by=technician, at=at).prepaid == 0
    disputes.end_dispute(dispute=dispute, won=False, by=owner, at=at)
    assert not Entry.objects.filter(what="dispute lost").exists()
    assert (billing.balance(quote.order), prove()) == (Decimal("112.32"), [])


def test_deposit_set_off_and_then_taken_back_is_owed_until_it_is_won(quote, technician, owner, at):
    deposit = paid(quote.order, "30", by=technician, at=at, purpose="deposit")
    billed(quote, by=technician, at=at)
    paid(quote.order, "82.32", by=technician, at=at)
    dispute = take_back(deposit, at, "30")
    assert (billing.balance(quote.order), prove()) == (Decimal(30), [])
    disputes.end_dispute(dispute=dispute, won=True, by=owner, at=at)
    assert (billing.balance(quote.order), billing.deposit_held(quote.order), prove()) == (0, 0, [])


def test_deposit_given_back_and_then_disputed_is_made_good_by_the_next_one(quote, technician, at):
    deposit = paid(quote.order, "30", by=technician, at=at, purpose="deposit")
    payments.refund(
        order=quote.order, kind="card", amount=Decimal(30), key="r", by=technician, at=at, note="",
        purpose="deposit",
    )  # fmt: skip
    take_back(deposit, at, "30")
    assert billing.balance(quote.order) == Decimal(30)
    paid(quote.order, "50", by=technician, at=at, purpose="deposit")
    assert (billing.balance(quote.order), billing.deposit_held(quote.order)) == (0, Decimal(20))
    assert prove() == []
