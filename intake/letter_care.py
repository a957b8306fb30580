"""What a person does about a letter that is stuck, beside sending it again: another address, or no letter at all."""

import datetime as dt

from django.db import transaction

from intake import history
from intake.history import in_turn
from intake.models import Customer, Letter, Person
from intake.refusals import Refused
from intake.waking import wake

STUCK = (Letter.State.HELD, Letter.State.DEAD)


@in_turn
def readdress(*, letter: Letter, to: str, by: Person, at: dt.datetime) -> int:
    """Send every stuck letter of this reader to `to`, and from now on all others too; returns how many go again.

    The address of the customer changes with it. Raises Refused.
    """
    fresh = _stuck(letter)
    mine = Letter.objects.filter(state__in=STUCK, to=fresh.to, order=fresh.order)
    if fresh.order is not None and fresh.order.customer_id is not None:
        customers = Customer.objects.filter(pk=fresh.order.customer_id, email__iexact=fresh.to)
        mine = Letter.objects.filter(state__in=STUCK, to=fresh.to, order__customer__in=list(customers)) | mine
        customers.update(email=to)
    pks = list(mine.values_list("pk", flat=True))
    Letter.objects.filter(pk__in=pks).update(to=to, state="pending", next_at=at, tried_since=None)
    # Not the address itself: the history keeps what it is told for good.
    history.record(
        order=fresh.order,
        what="letters go to another address",
        by=by.username,
        at=at,
        facts={"letter": fresh.pk},
    )
    transaction.on_commit(wake, robust=True)
    return len(pks)


@in_turn
def close(*, letter: Letter, by: Person, at: dt.datetime) -> None:
    """Its reader was told in another way, or need not be told. Raises Refused."""
    fresh = _stuck(letter)
    Letter.objects.filter(pk=fresh.pk).update(state=Letter.State.CLOSED)
    history.record(
        order=fresh.order,
        what="letter closed",
        by=by.username,
        at=at,
        facts={"letter": fresh.pk, "kind": fresh.kind},
    )


def _stuck(letter: Letter) -> Letter:
    found = (
        Letter.objects.select_related("order").filter(pk=letter.pk, state__in=STUCK).exclude(to="").first()
    )
    if found is None:
        raise Refused("This letter is not stuck any more. Nothing was changed.")
    return found
