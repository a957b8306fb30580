"""What a provider reports becomes payments, refunds and disputes: each report once, in whatever order they come.

A report is kept as it came and never changed. Whether it took effect is read from the rows it leads to, whose keys are
made of it: so a report that came too early waits, and is tried again when the one it needs has come.
"""

import datetime as dt
import hashlib
from decimal import Decimal
from typing import Any

from intake.history import in_turn
from intake.models import Letterhead, Person
from intake.money import quantize
from quotes import disputes, payments
from quotes.cards.provider import Event
from quotes.models import CardCheckout, CardEvent, Dispute, Payment
from quotes.refusals import Refused

TRIED_AGAIN = ("refunded", "disputed", "dispute_won", "dispute_lost")


@in_turn
def take(*, provider: str, event: Event, at: dt.datetime) -> CardEvent:
    """Keep a report and do what it says; the same report again changes nothing. Raises nothing for what cannot be booked:
    that is kept with the reason, for the owner to see."""
    known = CardEvent.objects.filter(provider=provider, ident=event.ident).first()
    if known is not None:
        return known
    checkout = (
        CardCheckout.objects.select_related("order").filter(provider=provider, ident=event.checkout).first()
    )
    outcome = "Waits: no payment was started here under this name." if checkout is None else ""
    if checkout is not None:
        outcome = _effect(checkout, event, at)
    row = CardEvent.objects.create(
        provider=provider,
        ident=event.ident,
        kind=event.kind,
        checkout=checkout,
        payload=_as_kept(event),
        outcome=outcome[:200],
        at=at,
    )
    if checkout is not None and event.kind in ("paid", "disputed"):
        _try_again(checkout, at)
    return row


@in_turn
def catch_up(*, checkout: CardCheckout, at: dt.datetime) -> None:
    """Do what was reported before the checkout was written down, or before what it needs had come."""
    for event in _reported(checkout):
        if event.kind == "paid":
            _effect(checkout, event, at)
    _try_again(checkout, at)


def _try_again(checkout: CardCheckout, at: dt.datetime) -> None:
    """What waits, disputes before their ends: each is harmless where it has taken effect."""
    waiting = [event for event in _reported(checkout) if event.kind in TRIED_AGAIN]
    for event in sorted(waiting, key=lambda event: TRIED_AGAIN.index(event.kind)):
        _effect(checkout, event, at)


def _reported(checkout: CardCheckout) -> list[Event]:
    rows = CardEvent.objects.filter(provider=checkout.provider, payload__checkout=checkout.ident)
    return [_as_event(row) for row in rows]


def _effect(checkout: CardCheckout, event: Event, at: dt.datetime) -> str:
    """Do it; a sentence of what came of it. What is refused is said, and nothing of it stays behind."""
    if event.kind == "failed":
        return "The card was refused; nothing is booked."
    if event.currency != checkout.currency:
        return f"Waits: reported in {event.currency}, asked in {checkout.currency}. Nothing is booked."
    if event.amount <= 0 and event.kind in ("paid", "refunded", "disputed"):
        return "Waits: reported without an amount. Nothing is booked."
    deeds = {"paid": _paid, "refunded": _refunded, "disputed": _disputed}
    try:
        return deeds.get(event.kind, _ended)(checkout, event, at)
    except Refused as refusal:
        return f"Waits: {refusal.sentence}"


def _paid(checkout: CardCheckout, event: Event, at: dt.datetime) -> str:
    key = paid_key(checkout)
    before = Payment.objects.filter(key=key).first()
    if before is not None and before.amount != quantize(event.amount, checkout.currency):
        raise Refused(f"A second sum, {event.amount}, is reported for a payment of {before.amount}.")
    asked = quantize(checkout.amount, checkout.currency)
    note = "" if event.amount == asked else f"Asked for {asked}."
    payment = payments.record_payment(
        order=checkout.order,
        kind=Payment.Kind.CARD,
        purpose=_purpose(checkout),
        amount=event.amount,
        fee=min(event.fee, event.amount),
        key=key,
        note=f"Card, reported by the provider. {note}".strip(),
        by=on_behalf(),
        at=at,
    )
    return (
        "This payment was booked before."
        if before
        else f"Booked: {payment.amount} {payment.currency}. {note}".strip()
    )


def _purpose(checkout: CardCheckout) -> str:
    """A deposit that comes after the bill was written is a payment for the bill."""
    late = checkout.purpose == Payment.Purpose.DEPOSIT and checkout.order.invoices.exists()
    return Payment.Purpose.BILL if late else checkout.purpose


def _refunded(checkout: CardCheckout, event: Event, at: dt.datetime) -> str:
    payment = payments.refund(
        order=checkout.order,
        kind=Payment.Kind.CARD,
        purpose=_payment(checkout).purpose,
        amount=event.amount,
        key=event_key(checkout.provider, event.ident),
        note="To the card, reported by the provider.",
        by=on_behalf(),
        at=at,
    )
    return f"Booked as paid back: {-payment.amount} {payment.currency}."


def _disputed(checkout: CardCheckout, event: Event, at: dt.datetime) -> str:
    dispute = disputes.open_dispute(
        payment=_payment(checkout),
        amount=event.amount,
        fee=event.fee,
        why=event.why or "No reason was given.",
        answer_by=event.answer_by,
        key=event_key(checkout.provider, event.ident),
        by=None,
        at=at,
    )
    return f"In dispute: {dispute.amount} {checkout.currency} are held apart."


def _ended(checkout: CardCheckout, event: Event, at: dt.datetime) -> str:
    """The dispute of this payment that is open; one that ended the same way before is the same report."""
    won = event.kind == "dispute_won"
    said = "The dispute is won; the money is back." if won else "The dispute is lost; it is owed again."
    own = Dispute.objects.filter(payment__key=paid_key(checkout)).order_by("at", "pk")
    reported = [one for one in _reported(checkout) if one.kind == event.kind]
    done = own.filter(end__won=won).count()
    # Of so many reports of this ending, this one is the n-th; where as many have ended, it has taken effect.
    number = next((n for n, one in enumerate(reported) if one.ident == event.ident), len(reported))
    if number < done:
        return said
    dispute = own.filter(end__isnull=True).first()
    if dispute is None:
        raise Refused("No dispute of this payment is open.")
    disputes.end_dispute(dispute=dispute, won=won, by=None, at=at)
    return said


def _payment(checkout: CardCheckout) -> Payment:
    payment = Payment.objects.select_related("order").filter(key=paid_key(checkout)).first()
    if payment is None:
        raise Refused("The payment itself was not reported yet.")
    return payment


def paid_key(checkout: CardCheckout) -> str:
    """A checkout is paid once, however many reports say so."""
    return f"card:{checkout.pk}"


def event_key(provider: str, ident: str) -> str:
    """The key of what one report leads to."""
    return f"card:{hashlib.sha256(f'{provider}:{ident}'.encode()).hexdigest()[:40]}"


def on_behalf() -> Person:
    """Whose name stands under what the provider reports: the owner who chose it, else the first owner.

    Raises Refused while nobody is owner.
    """
    name = Letterhead.current().card_provider
    chosen = (
        Letterhead.objects.filter(card_provider=name, changed_by__isnull=False).order_by("version").first()
    )
    owner = chosen.changed_by if chosen and name else None
    owner = owner or Person.objects.filter(role=Person.Role.OWNER).order_by("pk").first()
    if owner is None:
        raise Refused("There is no owner whose books these are.")
    return owner


def _as_kept(event: Event) -> dict[str, Any]:
    return {
        "ident": event.ident, "kind": event.kind, "checkout": event.checkout, "amount": str(event.amount),
        "currency": event.currency, "fee": str(event.fee), "why": event.why, "at": event.at.isoformat(),
        "answer_by": event.answer_by.isoformat() if event.answer_by else "",
    }  # fmt: skip


def _as_event(row: CardEvent) -> Event:
    told = row.payload
    return Event(
        ident=row.ident,
        kind=row.kind,  # type: ignore[arg-type]  # kept as it was read
        checkout=told["checkout"],
        amount=Decimal(told["amount"]),
        currency=told["currency"],
        at=dt.datetime.fromisoformat(told["at"]),
        fee=Decimal(told["fee"]),
        why=told["why"],
        answer_by=dt.date.fromisoformat(told["answer_by"]) if told["answer_by"] else None,
    )
