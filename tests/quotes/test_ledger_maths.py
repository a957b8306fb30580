"""The legs of each event in money: two equal sides, and after any sequence the accounts say what the papers say."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.ledger_maths import (
    Document,
    LedgerError,
    Leg,
    Standing,
    by_kind,
    dispute_lost,
    dispute_opened,
    dispute_won,
    document,
    legs,
    out_of_balance,
    payment,
    tax_kind,
    write_off,
)

D = Decimal


def test_invoice_sets_receivable_and_deposit_against_revenue_tax_and_rounding():
    made = document(
        Document({"labour": D("96.00"), "part": D("4.00")}, {"S 8": D("0.32")}, D("30.00"), D("-0.02"))
    )
    assert made == (
        Leg("receivable", "", D("70.30")),
        Leg("deposits", "", D("30.00")),
        Leg("revenue", "labour", D("-96.00")),
        Leg("revenue", "part", D("-4.00")),
        Leg("tax", "S 8", D("-0.32")),
        Leg("rounding", "", D("0.02")),
    )


def test_credit_note_is_the_mirror_of_its_invoice():
    bill = Document({"labour": D("96.00")}, {"S 8": D("7.68")}, rounding=D("0.02"))
    note = Document({"labour": D("-96.00")}, {"S 8": D("-7.68")}, rounding=D("-0.02"))
    assert document(note) == tuple(replace(leg, amount=-leg.amount) for leg in document(bill))


@pytest.mark.parametrize(("kind", "account"), [("transfer", "bank"), ("cash", "cash"), ("card", "card")])
def test_payment_lies_where_its_kind_says_and_the_fee_is_told_apart(kind, account):
    assert payment(kind=kind, purpose="bill", amount=D("12.00"), fee=D("0.65")) == (
        Leg(account, "", D("11.35")),
        Leg("fees", "", D("0.65")),
        Leg("receivable", "", D("-12.00")),
    )


def test_deposit_is_the_customers_and_its_refund_the_mirror():
    came = payment(kind="cash", purpose="deposit", amount=D(30))
    assert came == (Leg("cash", "", D(30)), Leg("deposits", "", D(-30)))
    back = payment(kind="cash", purpose="deposit", amount=D(-30))
    assert back == (Leg("cash", "", D(-30)), Leg("deposits", "", D(30)))


def test_dispute_is_held_apart_then_comes_back_or_is_owed_again():
    opened = dispute_opened(kind="card", purpose="bill", amount=D(40), fee=D(15))
    assert opened == (Leg("card", "", D(-55)), Leg("fees", "", D(15)), Leg("held", "", D(40)))
    won = dispute_won(kind="card", purpose="bill", amount=D(40), held=D(40))
    assert won == (Leg("card", "", D(40)), Leg("held", "", D(-40)))
    assert dispute_lost(D(40)) == (Leg("held", "", D(-40)), Leg("receivable", "", D(40)))


def test_disputed_deposit_is_no_longer_held_and_nothing_is_owed_for_it():
    opened = dispute_opened(kind="card", purpose="deposit", amount=D(50), fee=D(0), deposit_held=D(30))
    assert opened == (Leg("card", "", D(-50)), Leg("deposits", "", D(30)), Leg("held", "", D(20)))


def test_what_is_made_good_is_a_loss_and_touches_no_customers_account():
    assert payment(kind="transfer", purpose="loss", amount=D(-50)) == (
        Leg("bank", "", D(-50)),
        Leg("losses", "", D(50)),
    )


def test_write_off_gives_up_what_is_owed():
    assert write_off(D(5)) == (Leg("write_off", "", D(5)), Leg("receivable", "", D(-5)))


def test_sides_that_differ_are_refused():
    with pytest.raises(LedgerError, match="differ by 1"):
        legs(("bank", "", D(3)), ("receivable", "", D(-2)))


def test_float_and_unknown_kind_are_refused():
    with pytest.raises(TypeError):
        legs(("bank", "", 1.5), ("receivable", "", D("-1.5")))
    with pytest.raises(LedgerError, match="cheque"):
        payment(kind="cheque", purpose="bill", amount=D(1))


@pytest.mark.parametrize(
    ("category", "percent", "name"), [("S", D("8.000"), "S 8"), ("", D(0), "Z 0"), ("", D("7.25"), "S 7.25")]
)
def test_tax_is_named_by_category_and_percent(category, percent, name):
    assert tax_kind(category, percent) == name


class Order:
    """One order's money, as the actions allow it; the accounts beside what the papers say."""

    def __init__(self):
        self.standing, self.sums, self.entries = Standing(), {}, []
        self.invoices, self.payments, self.disputes = 0, [], []

    def book(self, made):
        assert out_of_balance(made) == 0
        self.entries.append(made)
        for leg in made:
            self.sums[leg.account] = self.sums.get(leg.account, D(0)) + leg.amount

    def say(self, **more):
        self.standing = replace(
            self.standing, **{name: getattr(self.standing, name) + value for name, value in more.items()}
        )

    def invoice(self, amount):
        tax = (amount * D("0.08")).quantize(D("0.01"))
        prepaid = min(self.standing.deposit_held, amount + tax)
        self.book(document(Document({"labour": amount}, {"S 8": tax}, prepaid)))
        self.say(documents=amount + tax, prepaid=prepaid)
        self.invoices += 1

    def credit(self, amount):
        amount = min(amount, self.standing.documents)
        if amount > 0:
            self.book(document(Document({"labour": -amount}, {})))
            self.say(documents=-amount)

    def pay(self, amount, purpose="bill"):
        if purpose == "deposit" and self.invoices:
            return
        short = self.standing.deposit_short
        self.book(payment(kind="card", purpose=purpose, amount=amount, fee=amount / 50, short=short))
        self.say(**{"deposits" if purpose == "deposit" else "paid": amount})
        self.payments.append([purpose, amount])

    def deposit(self, amount):
        self.pay(amount, "deposit")

    def refund(self, amount):
        amount = min(amount, -self.standing.balance)
        if amount > 0:
            self.book(payment(kind="transfer", purpose="bill", amount=-amount))
            self.say(paid=-amount)

    def deposit_back(self, amount):
        amount = min(amount, self.standing.deposit_held)
        if amount > 0:
            self.book(payment(kind="transfer", purpose="deposit", amount=-amount))
            self.say(deposits=-amount)

    def give_up(self, amount):
        amount = min(amount, self.standing.balance)
        if amount > 0:
            self.book(write_off(amount))
            self.say(written_off=amount)

    def dispute(self, amount):
        if not self.payments:
            return
        paid = self.payments[int(amount) % len(self.payments)]
        amount = min(amount, paid[1])
        if amount <= 0:
            return
        made = dispute_opened(
            kind="card", purpose=paid[0], amount=amount, fee=D(1), deposit_held=self.standing.deposit_held
        )
        paid[1] -= amount
        self.book(made)
        held = sum((leg.amount for leg in made if leg.account == "held"), D(0))
        self.disputes.append((paid, amount, held))
        self.say(**{f"disputed_{'deposits' if paid[0] == 'deposit' else 'bill'}": amount})

    def win(self, _amount):
        if self.disputes:
            paid, amount, held = self.disputes.pop(0)
            short = self.standing.deposit_short
            self.book(dispute_won(kind="card", purpose=paid[0], amount=amount, held=held, short=short))
            paid[1] += amount
            self.say(**{f"disputed_{'deposits' if paid[0] == 'deposit' else 'bill'}": -amount})

    def lose(self, _amount):
        if self.disputes:
            _, _, held = self.disputes.pop(0)
            self.book(dispute_lost(held))


EVENTS = [
    "invoice", "credit", "pay", "deposit", "refund", "deposit_back", "give_up", "dispute", "win", "lose",
]  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(EVENTS), st.decimals(min_value="0.01", max_value="300", places=2, allow_nan=False)
        ),
        max_size=25,
    )
)
def test_any_sequence_keeps_both_sides_equal_and_the_accounts_as_the_papers(events):
    order = Order()
    for name, amount in events:
        getattr(order, name)(amount)
        assert sum(order.sums.values()) == 0
        owed = order.sums.get("receivable", D(0)) + order.sums.get("held", D(0))
        assert owed == order.standing.balance
        assert -order.sums.get("deposits", D(0)) == order.standing.deposit_held >= 0


def test_amounts_of_one_kind_are_added_up():
    assert by_kind([("part", D(1)), ("post", D(2)), ("part", D(3))]) == {"part": D(4), "post": D(2)}
