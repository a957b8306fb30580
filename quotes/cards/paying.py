"""A customer sets out to pay by card: what is owed, at which provider, under which name."""

import datetime as dt
from decimal import Decimal

from intake.models import Letterhead, Order
from quotes import deposits
from quotes.cards import events
from quotes.cards.provider import CardProvider, find
from quotes.models import CardCheckout, Payment
from quotes.owed import balance, in_dispute
from quotes.refusals import Refused


def provider_in_use() -> CardProvider | None:
    """The provider that the letterhead names; None where cards are not taken by link."""
    head = Letterhead.objects.order_by("version").last()
    return find(head.card_provider) if head is not None and head.card_provider else None


def to_pay(order: Order) -> tuple[Decimal, str]:
    """What a card could pay now, and for what: the bill first, else a deposit that was agreed; nought where nothing.

    What is in dispute is not asked for again meanwhile.
    """
    owed = balance(order) - in_dispute(order)
    if owed > 0:
        return owed, Payment.Purpose.BILL
    if not order.invoices.exists() and (missing := deposits.wanted(order)):
        return missing, Payment.Purpose.DEPOSIT
    return Decimal(0), Payment.Purpose.BILL


def set_out(*, order: Order, back: str, at: dt.datetime) -> str:
    """Open a payment page for what is owed now; gives its address. Raises Refused.

    The provider is asked first and outside a transaction: a page that nobody opened costs nothing, and a report that is
    quicker than the row finds it later (`events.catch_up`).
    """
    provider = provider_in_use()
    if provider is None:
        raise Refused("We take no cards by link just now. Please pay by transfer, or ring us.")
    amount, purpose = to_pay(order)
    if amount <= 0:
        raise Refused("Nothing is owed just now.")
    try:
        started = provider.start(order=order.code, amount=amount, currency=order.currency, back=back)
    except OSError:
        raise Refused(
            "The card page cannot be reached just now. Please try again, or pay by transfer."
        ) from None
    checkout = CardCheckout.objects.create(
        provider=provider.name,
        ident=started.ident,
        order=order,
        purpose=purpose,
        amount=amount,
        currency=order.currency,
        at=at,
    )
    events.catch_up(checkout=checkout, at=at)
    return started.address
