"""A deposit for a part that is ordered for one job: it holds the work up, with a slip, until it has come."""

import datetime as dt
from decimal import Decimal

from intake import lifecycle, wording
from intake.history import in_turn
from intake.house import house
from intake.lifecycle import CLOCK, Actor, staff
from intake.models import Order, Person
from intake.stations import SlipReason
from quotes.agreed import deposit_asked, deposit_paid


def wanted(order: Order) -> Decimal:
    """What is still to come of the deposit that was agreed, in the order's currency; never below nought."""
    return max(deposit_asked(order) - deposit_paid(order), Decimal(0))


@in_turn
def ask(*, order: Order, at: dt.datetime) -> bool:
    """Hold the order for the deposit that was agreed. Says whether one is still to come."""
    missing = wanted(order)
    if not missing:
        settle(order=order, at=at, by=CLOCK)
        return False
    said = wording.money(missing, order.currency, house().locale)
    note = f"A deposit of {said} for the part that is ordered for this job."
    lifecycle.hold(order, reason=SlipReason.PAYMENT, by=CLOCK, at=at, note=note)
    return True


@in_turn
def settle(*, order: Order, at: dt.datetime, by: Person | Actor) -> bool:
    """Take the slip off once the deposit has come in full. Says whether there was one to take off."""
    if wanted(order) or not (deposit_asked(order) or _put_on_by_itself(order)):
        return False
    who = by if isinstance(by, Actor) else staff(by)
    return lifecycle.release(
        order,
        reason=SlipReason.PAYMENT,
        by=who,
        at=at,
        note="The deposit is in." if deposit_asked(order) else "",
    )


def _put_on_by_itself(order: Order) -> bool:
    """Not by a person, who may wait for other money: of an agreement that asks for no deposit any more."""
    mine = order.slips.filter(reason=SlipReason.PAYMENT, ended_at__isnull=True, started_by=CLOCK.name)
    return bool(mine.exists())
