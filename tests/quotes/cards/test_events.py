"""Reports of a card provider: each takes effect once, in whatever order they come; nothing is lost of what cannot."""

import itertools
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

import pytest

from intake.models import HistoryEntry, Letter, Letterhead, Order, Person
from quotes import billing
from quotes.cards import events, paying, provider, waiting
from quotes.cards.offline import OfflineProvider
from quotes.cards.provider import Event
from quotes.models import CardCheckout, CardEvent, Dispute, DisputeEnd, Payment, Rates
from quotes.proof import prove
from quotes.refusals import Refused
from tests.bench_orders import at_diagnosis

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture(autouse=True)
def _offline() -> Iterator[None]:
    provider.register(OfflineProvider(key=b"key", page=lambda ident: f"/pretend/{ident}/"))
    yield
    provider.forget("offline")


@pytest.fixture
def order(technician: Person, owner: Person, letterhead: Letterhead, at) -> Order:
    """12.00 are owed for the return post; cards are taken."""
    Letterhead.objects.filter(pk=letterhead.pk).update(card_provider="offline", changed_by=owner)
    order = at_diagnosis(by=technician, at=at)
    billing.bill_return(order=order, rates=Rates.current(), by=technician, at=at, why="not mendable")
    return order


@pytest.fixture
def checkout(order: Order, at) -> CardCheckout:
    paying.set_out(order=order, back="/", at=at)
    return CardCheckout.objects.get()


def told(
    checkout: CardCheckout | str, kind: str, at, *, ident: str = "", amount: str = "12.00", **other
) -> CardEvent:
    name = checkout if isinstance(checkout, str) else checkout.ident
    event = Event(
        ident=ident or f"{kind}-1", kind=kind, checkout=name, amount=Decimal(amount), currency=other.pop("currency", "USD"),
        at=at, **other,
    )  # fmt: skip
    return events.take(provider="offline", event=event, at=at)


def test_setting_out_asks_for_what_is_owed_and_writes_the_checkout(checkout, order) -> None:
    assert (checkout.order, checkout.amount, checkout.currency, checkout.purpose) == (
        order,
        Decimal(12),
        "USD",
        "bill",
    )


def test_nothing_owed_no_provider_and_no_answer_are_said(
    checkout, order, at, monkeypatch, letterhead
) -> None:
    def silent(self: object, **_: object) -> None:
        raise TimeoutError

    monkeypatch.setattr(OfflineProvider, "start", silent)
    with pytest.raises(Refused, match="cannot be reached"):
        paying.set_out(order=order, back="/", at=at)
    told(checkout, "paid", at)
    with pytest.raises(Refused, match="Nothing is owed"):
        paying.set_out(order=order, back="/", at=at)
    Letterhead.objects.update(card_provider="")
    with pytest.raises(Refused, match="no cards by link"):
        paying.set_out(order=order, back="/", at=at)


def test_same_report_fifty_times_books_once(checkout, order, owner, at) -> None:
    rows = {told(checkout, "paid", at, fee=Decimal("0.60")).pk for _ in range(50)}
    payment = Payment.objects.get()
    assert len(rows) == 1 and CardEvent.objects.count() == 1
    assert (payment.kind, payment.amount, payment.fee, payment.by) == (
        "card",
        Decimal(12),
        Decimal("0.60"),
        owner,
    )
    assert billing.balance(order) == 0
    assert Letter.objects.filter(kind="paid").count() == 1
    assert HistoryEntry.objects.filter(what="payment").count() == 1


def test_second_report_of_one_payment_under_another_name_books_nothing(checkout, at) -> None:
    told(checkout, "paid", at)
    assert "booked before" in told(checkout, "paid", at, ident="again").outcome
    assert Payment.objects.count() == 1


@pytest.mark.parametrize(("amount", "left"), [("11.99", "0.01"), ("12.01", "-0.01")])
def test_other_amount_than_asked_is_booked_as_it_came(checkout, order, at, amount, left) -> None:
    row = told(checkout, "paid", at, amount=amount)
    assert billing.balance(order) == Decimal(left)
    assert "Asked for 12.00" in row.outcome


def test_refused_card_books_nothing_and_waits_for_nothing(checkout, at) -> None:
    told(checkout, "failed", at)
    assert not Payment.objects.exists()
    assert waiting.waiting() == []


def test_unknown_checkout_is_kept_and_shown_until_it_is_set_aside(order, owner, at) -> None:
    row = told("nobody-knows", "paid", at)
    assert row.checkout is None and waiting.waiting() == [row]
    with pytest.raises(Refused, match="how it was settled"):
        waiting.set_aside(event=row, why=" ", by=owner, at=at)
    waiting.set_aside(event=row, why="Another shop's", by=owner, at=at)
    with pytest.raises(Refused, match="already"):
        waiting.set_aside(event=row, why="Again", by=owner, at=at)
    assert waiting.waiting() == []


def test_report_that_is_quicker_than_our_own_row_takes_effect_when_the_row_is_there(
    order, at, monkeypatch
) -> None:
    row = told("early-bird", "paid", at)
    started = provider.Started("early-bird", "/pretend/")
    monkeypatch.setattr(OfflineProvider, "start", lambda self, **_: started)
    paying.set_out(order=order, back="/", at=at)
    assert Payment.objects.get().amount == 12
    assert waiting.waiting() == []
    assert waiting.has_taken_effect(row)


def test_other_currency_waits_for_the_owner(checkout, at) -> None:
    row = told(checkout, "paid", at, currency="EUR")
    assert "reported in EUR" in row.outcome
    assert waiting.waiting() == [row] and not Payment.objects.exists()


def test_refund_that_is_more_than_is_over_waits_until_the_bill_is_credited(
    checkout, order, owner, at
) -> None:
    told(checkout, "paid", at)
    row = told(checkout, "refunded", at)
    assert "Credit the invoice first" in row.outcome
    assert not waiting.try_again(event=row, at=at)
    assert waiting.waiting() == [row]
    billing.credit(invoice=order.invoices.get(), why="Goodwill", by=owner, at=at)
    assert waiting.try_again(event=row, at=at)
    assert waiting.waiting() == [] and billing.balance(order) == 0
    waiting.try_again(event=row, at=at)
    assert Payment.objects.count() == 2


def test_dispute_is_held_apart_and_ends_once(checkout, order, at) -> None:
    told(checkout, "paid", at)
    told(checkout, "disputed", at, fee=Decimal(15), why="Not known")
    dispute = Dispute.objects.get()
    assert (dispute.amount, dispute.fee, dispute.by) == (Decimal(12), Decimal(15), None)
    assert billing.balance(order) == 12
    told(checkout, "dispute_won", at)
    told(checkout, "dispute_won", at)
    assert DisputeEnd.objects.get().won
    assert billing.balance(order) == 0


def test_other_ending_after_the_first_waits_for_the_owner(checkout, at) -> None:
    for kind in ("paid", "disputed", "dispute_lost"):
        told(checkout, kind, at)
    row = told(checkout, "dispute_won", at)
    assert waiting.waiting() == [row]
    assert not DisputeEnd.objects.get().won


def test_second_dispute_of_the_rest_and_its_own_ending(checkout, order, at) -> None:
    told(checkout, "paid", at)
    told(checkout, "disputed", at, amount="5.00", ident="d1")
    told(checkout, "dispute_lost", at, ident="l1")
    told(checkout, "disputed", at, amount="7.00", ident="d2")
    assert DisputeEnd.objects.count() == 1
    told(checkout, "dispute_lost", at, ident="l2")
    told(checkout, "dispute_lost", at, ident="l1")
    assert DisputeEnd.objects.filter(won=False).count() == 2
    assert waiting.waiting() == []
    assert billing.balance(order) == 12


@pytest.mark.parametrize("kinds", list(itertools.permutations(["paid", "disputed", "dispute_lost"])))
def test_reports_in_any_order_come_to_the_same_books(checkout, order, at, kinds) -> None:
    for number, kind in enumerate(kinds):
        told(
            checkout,
            kind,
            at + timedelta(seconds=number),
            fee=Decimal(1) if kind == "disputed" else Decimal(0),
        )
    assert billing.balance(order) == 12
    assert (Payment.objects.count(), Dispute.objects.count(), DisputeEnd.objects.count()) == (1, 1, 1)
    assert waiting.waiting() == [] and prove() == []


def test_without_an_owner_the_report_waits(checkout, at) -> None:
    Letterhead.objects.update(changed_by=None)
    Person.objects.filter(role="owner").update(role="technician")
    assert "no owner" in told(checkout, "paid", at).outcome
    assert not Payment.objects.exists()


def test_second_sum_for_one_payment_waits_for_the_owner(checkout, order, at) -> None:
    told(checkout, "paid", at)
    assert waiting.waiting() == []
    again = told(checkout, "paid", at, ident="paid-2", amount="9.00")
    assert "A second sum, 9.00, is reported" in again.outcome
    assert waiting.waiting() == [again]
    assert Payment.objects.get().amount == 12
    told(checkout, "paid", at, ident="paid-3")
    assert waiting.waiting() == [again]
