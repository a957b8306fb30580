"""Money in and out: booked once, never changed, never more out than came in too much."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction

from intake.models import HistoryEntry, Letter
from quotes import billing, disputes, ledger, payments
from quotes.invoice_facts import paid_by_then
from quotes.ledger import balance_of
from quotes.models import Entry, Payment, Rates, WriteOff
from quotes.owed import to_pay_back
from quotes.proof import prove
from quotes.refusals import Refused
from tests.bench_orders import at_diagnosis
from tests.quotes.money_orders import paid

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


def test_what_was_written_off_does_not_go_out_when_its_bill_is_credited(order, technician, owner, at):
    pay(order, technician, at, "5")
    payments.write_off(order=order, amount=Decimal(7), key="w", why="No answer", by=owner, at=at)
    billing.credit(invoice=order.invoices.get(), why="Wrong", by=owner, at=at)
    with pytest.raises(Refused, match="Only 5.00 can go back. No more came in"):
        give_back(order, technician, at, "5.01")
    assert give_back(order, technician, at, "5").amount == -5
    with pytest.raises(Refused, match="Only 0.00 can go back"):
        give_back(order, technician, at, "0.01", key="r2")
    assert prove() == []


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


@pytest.fixture
def unbilled(technician, at):
    return at_diagnosis(by=technician, at=at, key="unbilled")


def test_deposit_is_held_apart_from_what_is_owed(unbilled, technician, at):
    paid(unbilled, "30", by=technician, at=at, purpose="deposit")
    assert (billing.balance(unbilled), billing.deposit_held(unbilled)) == (0, Decimal(30))
    assert balance_of("deposits") == Decimal(-30)
    letter = Letter.objects.get(kind="paid")
    assert HistoryEntry.objects.get(what="deposit").order == letter.order == unbilled


def test_only_what_is_held_of_a_deposit_goes_back(unbilled, technician, at):
    paid(unbilled, "30", by=technician, at=at, purpose="deposit")
    give = {"order": unbilled, "kind": "card", "by": technician, "at": at, "note": "", "purpose": "deposit"}
    with pytest.raises(Refused, match=r"Only 30\.00 can go back\. No more of the deposit is held"):
        payments.refund(amount=Decimal("30.01"), key="r1", **give)
    payments.refund(amount=Decimal(30), key="r1", **give)
    assert (billing.deposit_held(unbilled), balance_of("deposits")) == (0, 0)
    assert prove() == []


def test_deposit_after_the_bill_is_refused_as_one(order, technician, at):
    with pytest.raises(Refused, match="book it as a payment for the bill") as refused:
        paid(order, "5", by=technician, at=at, purpose="deposit")
    assert refused.value.field == "purpose"


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"kind": "cheque"}, "kind"),
        ({"purpose": "gift"}, "purpose"),
        ({"fee": Decimal("5.01")}, "fee"),
        ({"fee": Decimal("-1")}, "fee"),
        ({"amount": "0.004"}, "amount"),
    ],
)
def test_payment_that_cannot_be_is_refused_beside_its_field(order, technician, at, given, field):
    given = {"amount": "5", **given}
    with pytest.raises(Refused) as refused:
        paid(order, given.pop("amount"), by=technician, at=at, **given)
    assert refused.value.field == field
    assert not Entry.objects.filter(what="payment").exists()


def give_up(order, by, at, amount, why="Gone without a trace", key="w"):
    return payments.write_off(order=order, amount=Decimal(amount), key=key, why=why, by=by, at=at)


def test_owner_writes_off_what_is_owed_and_no_cent_more(order, owner, at):
    with pytest.raises(Refused, match=r"Only 12\.00 is owed") as refused:
        give_up(order, owner, at, "12.01")
    assert refused.value.field == "amount"
    assert give_up(order, owner, at, "12") == give_up(order, owner, at, "12")
    assert (billing.balance(order), balance_of("write_off")) == (0, Decimal(12))
    assert HistoryEntry.objects.get(what="written off").facts["why"] == "Gone without a trace"
    assert prove() == []


def test_write_off_without_reason_or_sum_or_by_the_technician_is_refused(order, owner, technician, at):
    for by, amount, why, said in (
        (technician, "1", "x", "Only the owner"),
        (owner, "1", " ", "Say why"),
        (owner, "0", "x", "more than nought"),
    ):
        with pytest.raises(Refused, match=said):
            give_up(order, by, at, amount, why)
    assert not WriteOff.objects.exists()


def test_what_is_in_dispute_is_not_written_off(order, owner, technician, at):
    payment = paid(order, "10", by=technician, at=at)
    disputes.open_dispute(
        payment=payment, amount=Decimal(10), fee=Decimal(0), why="x", answer_by=None, key="d", by=owner, at=at
    )
    with pytest.raises(Refused, match=r"Only 2\.00 is owed"):
        give_up(order, owner, at, "2.01")


def make_good(order, by, at, amount="50", kind="transfer", why="We cracked the glass", key="m"):
    return payments.make_good(order=order, kind=kind, amount=Decimal(amount), key=key, why=why, by=by, at=at)


def test_what_is_made_good_is_a_loss_and_no_part_of_the_bill(order, owner, technician, at):
    pay(order, technician, at, "12")
    row = make_good(order, owner, at)
    assert make_good(order, owner, at, amount="60") == row
    assert (row.purpose, row.amount, row.note) == ("loss", Decimal("-50.00"), "We cracked the glass")
    assert (billing.balance(order), billing.deposit_held(order), to_pay_back(order)) == (0, 0, 0)
    assert (balance_of("losses"), balance_of("bank"), balance_of("receivable")) == (50, -38, 0)
    entry = Entry.objects.get(what="made good")
    assert entry.text == "Made good, bank transfer: We cracked the glass"
    assert HistoryEntry.objects.get(what="made good").facts == {
        "amount": "-50.00", "currency": "USD", "kind": "transfer", "why": "We cracked the glass",
    }  # fmt: skip
    assert prove() == []


def test_what_is_made_good_has_one_letter_of_its_own(order, owner, at):
    for _ in range(2):
        make_good(order, owner, at)
    assert Letter.objects.filter(kind="made_good").count() == 1
    assert not Letter.objects.filter(kind="refunded").exists()


def test_what_is_made_good_pays_no_bill_and_opens_no_refund(order, owner, technician, at):
    make_good(order, owner, at)
    assert billing.balance(order) == Decimal(12)
    with pytest.raises(Refused, match="Only 0.00 can go back"):
        give_back(order, technician, at, "0.01")
    assert paid_by_then(billing.bill_again(order=credited(order, owner, at), by=owner, at=at)) == 0


def credited(order, by, at):
    billing.credit(invoice=order.invoices.get(), why="Wrong", by=by, at=at)
    return order


def test_what_is_made_good_comes_before_any_bill_and_of_a_deposit_takes_nothing(
    unbilled, owner, technician, at
):
    paid(unbilled, "30", by=technician, at=at, purpose="deposit")
    make_good(unbilled, owner, at, amount="40", kind="cash")
    assert (billing.deposit_held(unbilled), billing.balance(unbilled)) == (Decimal(30), 0)
    assert (balance_of("losses"), balance_of("cash")) == (40, -40)
    assert prove() == []


def test_what_is_made_good_without_a_customer_has_no_letter(unbilled, owner, at):
    unbilled.customer = None
    unbilled.save()
    assert make_good(unbilled, owner, at).amount == -50
    assert not Letter.objects.filter(kind="made_good").exists()


@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"amount": "0"}, "amount", "more than nought"),
        ({"amount": "-5"}, "amount", "more than nought"),
        ({"amount": "0.004"}, "amount", "more than nought"),
        ({"amount": "1000000.01"}, "amount", "over 1,000,000"),
        ({"why": "  "}, "why", "the customer reads it"),
        ({"kind": "voucher"}, "kind", "bank transfer, card or cash"),
    ],
)
def test_what_cannot_be_made_good_is_refused_beside_its_field(order, owner, at, given, field, said):
    with pytest.raises(Refused, match=said) as refused:
        make_good(order, owner, at, **given)
    assert refused.value.field == field
    assert not Payment.objects.exists()


def test_only_the_owner_makes_good(order, technician, at):
    with pytest.raises(Refused, match="Only the owner"):
        make_good(order, technician, at)
    assert not Entry.objects.filter(what="made good").exists()


def test_a_million_is_made_good_and_a_loss_is_no_purpose_of_other_payments(order, owner, technician, at):
    assert make_good(order, owner, at, amount="1000000").amount == -1_000_000
    with pytest.raises(Refused, match="the bill or a deposit"):
        paid(order, "5", by=technician, at=at, purpose="loss")
    with pytest.raises(Refused, match="the bill or a deposit"):
        payments.refund(
            order=order, kind="card", amount=Decimal(1), key="r", by=owner, at=at, note="", purpose="loss"
        )


def test_what_is_made_good_on_a_closed_day_is_refused_whole(order, owner, at):
    ledger.close(upto=at.date(), by=owner, at=at + dt.timedelta(days=1))
    with pytest.raises(Refused, match="The books are closed"):
        make_good(order, owner, at)
    assert not Payment.objects.exists() and not Letter.objects.filter(kind="made_good").exists()


@pytest.fixture
def coins(rates):
    """The smallest coin of the shop is five hundredths."""
    Rates.objects.filter(pk=Rates.current().pk).update(cash_step=Decimal("0.05"))


def billed_odd(order, technician, at):
    """10.02 are owed."""
    pay(order, technician, at, "1.98", key="odd")
    assert billing.balance(order) == Decimal("10.02")


@pytest.mark.parametrize(("kind", "left"), [("cash", "0.00"), ("card", "0.02"), ("transfer", "0.02")])
def test_only_coins_are_rounded(order, technician, at, coins, kind, left):
    billed_odd(order, technician, at)
    payment = payments.record_payment(
        order=order, kind=kind, amount=Decimal("10.00"), key="c", by=technician, at=at
    )
    assert (billing.balance(order), payment.rounding) == (Decimal(left), Decimal("0.02") - Decimal(left))
    assert balance_of("rounding") == Decimal("0.02") - Decimal(left)
    assert prove() == []


def test_another_sum_in_coins_is_a_part_and_nothing_is_given_up(order, technician, at, coins):
    billed_odd(order, technician, at)
    payments.record_payment(order=order, kind="cash", amount=Decimal("9.95"), key="c", by=technician, at=at)
    assert billing.balance(order) == Decimal("0.07")


def test_coins_that_round_up_leave_nothing_to_pay_back(order, technician, at, coins):
    pay(order, technician, at, "1.96", key="odd")
    payments.record_payment(order=order, kind="cash", amount=Decimal("10.05"), key="c", by=technician, at=at)
    assert (billing.balance(order), to_pay_back(order)) == (0, 0)
    assert prove() == []


def test_refund_in_coins_settles_what_is_over(order, technician, at, coins):
    pay(order, technician, at, "15.03")
    payments.refund(
        order=order, kind="cash", amount=Decimal("3.05"), key="r", by=technician, at=at, note="over"
    )
    assert billing.balance(order) == 0
    assert prove() == []


def test_shop_without_coins_set_takes_every_cent(order, technician, at):
    billed_odd(order, technician, at)
    payments.record_payment(order=order, kind="cash", amount=Decimal("10.00"), key="c", by=technician, at=at)
    assert billing.balance(order) == Decimal("0.02")
