"""Reports that could not take effect: listed for the owner, tried again, or set aside with a reason."""

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import Q

from intake.history import in_turn
from intake.models import Person
from quotes.cards.events import catch_up, event_key, paid_key
from quotes.models import CardCheckout, CardEvent, Dispute, DisputeEnd, Payment
from quotes.refusals import Refused

# Rows of this name say that a report was settled by hand; each names the report it sets aside.
BY_HAND = "by hand"


def waiting() -> list[CardEvent]:
    """The reports that wait for something, oldest first. Only those that were kept with a reason to wait are looked at."""
    aside = CardEvent.objects.filter(provider=BY_HAND).values_list("ident", flat=True)
    rows = CardEvent.objects.filter(Q(outcome__startswith="Waits")).exclude(pk__in=[int(pk) for pk in aside])
    return [row for row in rows.select_related("checkout__order") if not has_taken_effect(row)]


def has_taken_effect(row: CardEvent) -> bool:
    """Read from the rows a report leads to; False while it waits for something."""
    if row.kind == "failed":
        return True
    checkout = row.checkout or checkout_of(row)
    if checkout is None:
        return False
    if row.kind == "paid":
        return Payment.objects.filter(
            key=paid_key(checkout), amount=Decimal(str(row.payload["amount"]))
        ).exists()
    key = event_key(row.provider, row.ident)
    if row.kind == "refunded":
        return Payment.objects.filter(key=key).exists()
    if row.kind == "disputed":
        return Dispute.objects.filter(key=key).exists()
    ends = DisputeEnd.objects.filter(dispute__payment__key=paid_key(checkout), won=row.kind == "dispute_won")
    return _number(row, checkout) <= ends.count()


def _number(row: CardEvent, checkout: CardCheckout) -> int:
    """The how many-th report of this ending of one checkout it is, from 1."""
    alike = CardEvent.objects.filter(provider=row.provider, kind=row.kind, payload__checkout=checkout.ident)
    return alike.filter(Q(at__lt=row.at) | Q(at=row.at, pk__lte=row.pk)).count()


def checkout_of(row: CardEvent) -> CardCheckout | None:
    """The checkout a report names, though it was written down after the report."""
    return CardCheckout.objects.filter(provider=row.provider, ident=row.payload.get("checkout", "")).first()


def try_again(*, event: CardEvent, at: dt.datetime) -> bool:
    """Do what the report says, now that the owner has put right what stood in the way. Says whether it took effect."""
    checkout = event.checkout or checkout_of(event)
    if checkout is not None:
        catch_up(checkout=checkout, at=at)
    return has_taken_effect(event)


@in_turn
def set_aside(*, event: CardEvent, why: str, by: Person, at: dt.datetime) -> CardEvent:
    """Say how it was settled by hand, such as a payment booked on the sheet. Once; raises Refused."""
    if not why.strip():
        raise Refused("Say how it was settled.", field="why")
    try:
        with transaction.atomic():
            return CardEvent.objects.create(
                provider=BY_HAND,
                ident=str(event.pk),
                kind="set aside",
                checkout=event.checkout,
                payload={"by": by.username, "of": event.ident},
                outcome=why.strip()[:200],
                at=at,
            )
    except IntegrityError:
        raise Refused("This report was set aside already.") from None


def paid_already(checkouts: Iterable[CardCheckout]) -> bool:
    """Whether the payment of one of these was booked."""
    return Payment.objects.filter(key__in=[paid_key(checkout) for checkout in checkouts]).exists()
