"""A device that was to go home and is recycled after all, because its owner says so when the work is over."""

import datetime as dt

from intake import lifecycle
from intake.history import in_turn
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Outcome, Station
from shop.returns import out

# Ends after which a device may be of no more use to its owner.
MAY_STAY = (Outcome.OWN_DAMAGE, Outcome.DATA_ONLY, Outcome.NO_FIX, Outcome.DECLINED)


@in_turn
def recycle_instead(
    *, order: Order, seen_version: int, consent: str, method: str, by: Person, at: dt.datetime
) -> Order:
    """Wipe and close at 80 with the customer's word; how the work ended stays as it is. Raises Refused."""
    lifecycle.must_stand_at(order, Station.GOODS_OUT)
    if order.outcome not in MAY_STAY:
        raise Refused("This one is not for recycling.")
    if not consent.strip():
        raise Refused("The device is the customer's. Write what they said, when and how.", field="consent")
    if barred := out.gate(order):
        raise Refused(f"{barred} Nothing is posted of what is recycled: credit the return post first.")
    out.close_wiped(
        order,
        seen_version=seen_version,
        method=method,
        by=by,
        at=at,
        note=f"Recycled with consent: {consent.strip()}",
        facts={"consent": "noted"},
    )
    return order
