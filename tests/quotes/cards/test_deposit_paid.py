"""A deposit that was agreed is paid by transfer or by card: booked as one, and the work goes on."""

from collections.abc import Iterator
from decimal import Decimal

import pytest

from intake.codes import payment_reference
from intake.models import Letterhead, Order, Slip
from quotes import decisions, deposits, drafts, offers
from quotes.bank import confirming, importing
from quotes.bank.matching import propose
from quotes.bank.open_bills import line_of, open_bills
from quotes.cards import events, paying, provider
from quotes.cards.offline import OfflineProvider
from quotes.cards.provider import Event
from quotes.models import CardCheckout, Part, Payment
from quotes.proof import prove
from tests.bench_orders import at_quote, lines

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def order(technician, at, remedy, part) -> Order:
    """Agreed, and waiting for a deposit of 40.00."""
    Part.objects.filter(pk=part.pk).update(special=True)
    order = at_quote(by=technician, at=at)
    draft = drafts.draft_of(order, at=at)
    draft = drafts.save_draft(
        draft=draft, lines=lines(remedy, part), words="", promise=draft.promise, at=at, deposit=Decimal(40)
    )
    quote = offers.send(
        order=order, seen_version=order.version, seen_draft=draft.version, by=technician, at=at
    )
    answer = decisions.Answer(choice="mend", typed_name="Mara Ellwick", digest=quote.digest, button="Yes")
    decisions.decide(quote=quote, answer=answer, at=at)
    return Order.objects.get(pk=order.pk)


@pytest.fixture
def cards(letterhead, owner) -> Iterator[None]:
    provider.register(OfflineProvider(key=b"key", page=lambda ident: f"/pretend/{ident}/"))
    Letterhead.objects.filter(pk=letterhead.pk).update(card_provider="offline", changed_by=owner)
    yield
    provider.forget("offline")


def goes_on(order: Order) -> bool:
    return not Slip.objects.filter(order=order, ended_at__isnull=True).exists() and not deposits.wanted(order)


def test_transfer_with_the_orders_reference_is_proposed_and_booked_as_the_deposit(order, owner, at) -> None:
    assert not goes_on(order)
    data = f"Date,Amount,Reference\n2026-02-02,40.00,{payment_reference(order.code)}\n".encode()
    (statement,) = importing.take_in(data=data, file_name="f.csv", layout=None, by=owner, at=at)
    row = statement.lines.get()
    (best, *_) = propose(line_of(row), open_bills("USD"))
    assert [(share.order, share.purpose) for share in best.shares] == [(order.code, "deposit")]
    confirming.confirm(line=row, shares=best.shares, why=best.why, by=owner, at=at)
    assert Payment.objects.get().purpose == "deposit"
    assert goes_on(order)
    assert open_bills("USD") == [] and prove() == []


@pytest.mark.usefixtures("cards")
def test_card_pays_the_deposit_and_the_work_goes_on(order, at) -> None:
    assert paying.to_pay(order) == (Decimal("40.00"), "deposit")
    paying.set_out(order=order, back="/", at=at)
    checkout = CardCheckout.objects.get()
    told = Event("e1", "paid", checkout.ident, Decimal("40.00"), "USD", at)
    events.take(provider="offline", event=told, at=at)
    assert Payment.objects.get().purpose == "deposit"
    assert goes_on(order) and paying.to_pay(order)[0] == 0
    refused = events.take(
        provider="offline", event=Event("e2", "refunded", checkout.ident, Decimal("40.01"), "USD", at), at=at
    )
    assert "No more of the deposit is held" in refused.outcome
    events.take(
        provider="offline", event=Event("e3", "refunded", checkout.ident, Decimal("40.00"), "USD", at), at=at
    )
    assert deposits.wanted(order) == 40 and prove() == []
