"""The shop damaged what it was to mend. It is said plainly, nothing is billed, and what is held goes back."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from intake import history, letters, lifecycle
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.money import MOST, quantize
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import billing
from shop.bench import work
from shop.branches.letting_go import let_everything_go
from shop.models import OwnDamage

KINDS = {Station.DIAGNOSIS: "look", Station.REPAIR: "repair", Station.TEST: "test"}


@dataclass(frozen=True)
class Harm:
    """What happened and what is offered, in words the customer reads; `worth` of it in the order's currency, where a sum
    is offered. The sum is paid by the owner (`quotes.payments.make_good`) and is no part of any bill."""

    words: str
    offered: str
    worth: Decimal | None = None


@in_turn
def own_damage(
    *, order: Order, seen_version: int, harm: Harm, key: str, by: Person, at: dt.datetime
) -> OwnDamage:
    """End the work at 30, 60 or 70 as our own damage: to 80, nothing billed, parts released, a plain letter.

    The same key ends it once. Raises Refused, lifecycle errors.
    """
    known = OwnDamage.objects.filter(key=key).first()
    if known is not None:
        return known
    lifecycle.must_stand_at(order, *KINDS)
    worth = _checked(order, harm)
    kind = KINDS[order.at_station]
    let_everything_go(order=order, why="own damage", by=by, at=at)
    row = OwnDamage.objects.create(
        order=order,
        key=key,
        words=harm.words.strip(),
        offered=harm.offered.strip(),
        worth=worth,
        at=at,
        by=by,
    )
    lifecycle.advance(
        order,
        to=Station.GOODS_OUT,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=f"Our own damage. {row.words}",
        minutes=work.minutes_of(order, kind) or None,
        outcome=Outcome.OWN_DAMAGE,
    )
    facts: dict[str, object] = {"worth": "" if worth is None else str(worth), "currency": order.currency}
    history.record(order=order, what="own damage", by=by.username, at=at, facts=facts)
    letters.tell(order, kind="own_damage", ref=row.pk, at=at, harm=row, held=billing.deposit_held(order))
    return row


def _checked(order: Order, harm: Harm) -> Decimal | None:
    if not harm.words.strip():
        raise Refused("Say in plain words what happened. The customer reads it.", field="words")
    if not harm.offered.strip():
        raise Refused("Say what we offer. The customer reads it.", field="offered")
    if harm.worth is None:
        return None
    worth = quantize(harm.worth, order.currency)
    if not 0 < worth <= MOST:
        raise Refused("A sum lies between nought and 1,000,000; leave it empty for none.", field="worth")
    return worth
