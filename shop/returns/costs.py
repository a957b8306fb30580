"""Money an order cost beside parts, post and fees: a parcel that was lost, a claim that was turned down."""

import datetime as dt
from decimal import Decimal

from intake import history
from intake.history import in_turn
from intake.models import Order, Person
from intake.money import quantize
from intake.refusals import Refused
from shop.models import Cost


@in_turn
def add_cost(*, order: Order, what: str, amount: Decimal, key: str, by: Person, at: dt.datetime) -> Cost:
    """Write down what an order cost. The same key writes once. Raises Refused for no words or nothing paid."""
    known = Cost.objects.filter(key=key).first()
    if known is not None:
        return known
    if not what.strip():
        raise Refused("Say what it was for.", field="what")
    exact = quantize(amount, order.currency)
    if exact <= 0:
        raise Refused("Say how much it was: more than nought.", field="amount")
    row = Cost.objects.create(order=order, key=key, what=what.strip()[:160], amount=exact, at=at, by=by)
    facts: dict[str, object] = {"what": row.what, "amount": str(exact), "currency": order.currency}
    history.record(order=order, what="cost written down", by=by.username, at=at, facts=facts)
    return row
