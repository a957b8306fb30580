"""Every money verb at any moment, on one agreed order: refused with a sentence or done whole, and the books add up."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from intake.models import Order, Person
from intake.refusals import Refused
from quotes import billing, disputes, ledger, payments
from quotes.agreed import agreed_quote
from quotes.models import Closing, Dispute, Entry, Invoice, Payment
from quotes.owed import standing
from quotes.proof import prove
from shop.books.recount import recount
from tests.bench_orders import make_rates
from tests.quotes.money_orders import agreed

KINDS, PURPOSES = st.sampled_from(["transfer", "card", "cash"]), st.sampled_from(["bill", "deposit"])
AMOUNTS = st.decimals(min_value="0.01", max_value="120", places=2, allow_nan=False)
PICK = st.integers(0, 5)


class MoneyPresses(RuleBasedStateMachine):
    """What is refused leaves no row and no number behind; what is done leaves books that prove."""

    def __init__(self) -> None:
        super().__init__()
        self.key, self.pressed = 0, True
        self.at = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)
        self.undo = transaction.atomic()
        self.undo.__enter__()
        self.by = Person.objects.get(role="owner")
        self.pk = Order.objects.get().pk

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.undo.__exit__(None, None, None)

    def press(self, deed, **given) -> None:
        self.at += dt.timedelta(hours=5)
        self.key += 1
        before = Entry.objects.count()
        try:
            with transaction.atomic():
                deed(by=self.by, at=self.at, **given)
        except Refused as refusal:
            assert refusal.sentence
            assert Entry.objects.count() == before
            return
        self.pressed = True

    @property
    def order(self) -> Order:
        return Order.objects.select_related("customer", "return_address").get(pk=self.pk)

    def one_of(self, rows, pick: int):
        found = list(rows.order_by("pk"))
        return found[pick % len(found)] if found else None

    @rule()
    def bill(self) -> None:
        self.press(billing.bill_agreed, order=self.order, quote=agreed_quote(self.order))

    @rule(price=AMOUNTS)
    def add(self, price: Decimal) -> None:
        self.press(
            billing.add_to_bill, order=self.order, kind="part", text="More", quantity=Decimal(2),
            unit_price=price / 20, key=str(self.key),
        )  # fmt: skip

    @rule(kind=KINDS, purpose=PURPOSES, amount=AMOUNTS)
    def pay(self, kind: str, purpose: str, amount: Decimal) -> None:
        self.press(
            payments.record_payment, order=self.order, kind=kind, purpose=purpose, amount=amount,
            fee=amount / 40, key=str(self.key),
        )  # fmt: skip

    @rule(kind=KINDS, purpose=PURPOSES, amount=AMOUNTS)
    def refund(self, kind: str, purpose: str, amount: Decimal) -> None:
        self.press(
            payments.refund, order=self.order, kind=kind, purpose=purpose, amount=amount, key=str(self.key),
            note="",
        )  # fmt: skip

    @rule(pick=PICK, line=st.integers(1, 4), quantity=st.sampled_from(["0.25", "0.333", "1"]))
    def credit_part(self, pick: int, line: int, quantity: str) -> None:
        if invoice := self.one_of(Invoice.objects.filter(kind="invoice"), pick):
            self.press(billing.credit, invoice=invoice, why="x", lines={line: Decimal(quantity)})

    @rule(pick=PICK)
    def credit_rest(self, pick: int) -> None:
        if invoice := self.one_of(Invoice.objects.all(), pick):
            self.press(billing.credit, invoice=invoice, why="x")

    @rule()
    def bill_again(self) -> None:
        self.press(billing.bill_again, order=self.order)

    @rule(amount=AMOUNTS)
    def write_off(self, amount: Decimal) -> None:
        self.press(payments.write_off, order=self.order, amount=amount, key=str(self.key), why="x")

    @rule(kind=KINDS, amount=AMOUNTS)
    def make_good(self, kind: str, amount: Decimal) -> None:
        before = standing(self.order)
        self.press(payments.make_good, order=self.order, kind=kind, amount=amount, key=str(self.key), why="x")
        assert standing(self.order) == before, "a loss is no part of what is owed or held"

    @rule(pick=PICK, amount=AMOUNTS)
    def dispute(self, pick: int, amount: Decimal) -> None:
        if payment := self.one_of(Payment.objects.all(), pick):
            self.press(
                disputes.open_dispute, payment=payment, amount=amount, fee=Decimal(1), why="x", answer_by=None,
                key=str(self.key),
            )  # fmt: skip

    @rule(pick=PICK, won=st.booleans())
    def end(self, pick: int, won: bool) -> None:
        if dispute := self.one_of(Dispute.objects.all(), pick):
            self.press(disputes.end_dispute, dispute=dispute, won=won)

    @rule(days=st.integers(0, 2))
    def close(self, days: int) -> None:
        self.press(ledger.close, upto=self.at.date() - dt.timedelta(days=days))

    @invariant()
    def books_add_up(self) -> None:
        if self.pressed:
            assert prove() == []
            assert recount().faults == []
            assert sum(ledger.balances().values()) == 0
        self.pressed = False


@pytest.mark.parametrize(
    ("rounding", "inclusive"), [("document", False), ("line", False), ("line", True), ("document", True)]
)
def test_books_add_up_whatever_is_pressed(
    letterhead, technician, owner, at, remedy, part, rounding, inclusive
):
    make_rates(
        at,
        overrun_rule="share",
        overrun_percent=Decimal(10),
        rounding=rounding,
        tax_inclusive=inclusive,
        tax_percents={"part": "8.25", "labour": "19", "post": "19"},
        return_post_price=Decimal("12.03"),
    )
    agreed(by=technician, at=at, remedy=remedy, part=part)
    run_state_machine_as_test(
        MoneyPresses,
        settings=settings(
            # Shrinking a failure would take minutes; the steps printed are enough to see it.
            phases=[Phase.generate],
            max_examples=12,
            stateful_step_count=20,
            deadline=None,
            derandomize=True,
            database=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert not Closing.objects.exists()
