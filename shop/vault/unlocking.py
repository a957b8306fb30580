"""The verbs of an unlock code: given, shown to a person with a reason, erased. The code itself is in no other row."""

import datetime as dt
import re
from dataclasses import dataclass

from django.views.decorators.debug import sensitive_variables

from intake import history
from intake.history import in_turn
from intake.lifecycle import Actor
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Station
from shop.models import CodeShowing, UnlockCode
from shop.vault import sealing
from shop.vault.keys import keys as kept_keys

SHOWN_SECONDS = 60
_SHAPES = {
    UnlockCode.Shape.DIGITS: (r"\d{3,16}", "A code of digits has 3 to 16 of them, and nothing else."),
    UnlockCode.Shape.PATTERN: (
        r"[1-9]{4,9}",
        "Write the pattern as the dots it goes through: 1 2 3 for the top row, 4 5 6, 7 8 9; four at least.",
    ),
}


@dataclass(frozen=True)
class Shown:
    """What a person may read for a minute."""

    code: str
    shape: str
    until: dt.datetime


def keys() -> dict[str, bytes]:
    """The sealing keys. Raises Refused where they cannot be read, so that nothing typed turns into a server error."""
    try:
        return kept_keys()
    except (sealing.BadKeys, OSError) as fault:
        raise Refused("Codes cannot be sealed or opened now: the key file is not as it should be.") from fault


def held(order: Order) -> UnlockCode | None:
    """The code that lies here for an order; None where there is none, or it is erased."""
    return UnlockCode.objects.filter(order=order, erased_at__isnull=True).first()


def may_be_held(order: Order) -> bool:
    """Whether a code is of any use: from the request until the device goes out."""
    return order.closed_at is None and order.station < Station.GOODS_OUT


@sensitive_variables("code", "plain")
@in_turn
def give(*, order: Order, shape: str, code: str, by: Actor, at: dt.datetime) -> UnlockCode:
    """Seal a code; one given before is erased. Raises Refused."""
    if not may_be_held(order):
        raise Refused("A code is of no use any more for this order.")
    plain = _checked(shape, code)
    _erase(order, why="Another code was given", by=by.name, at=at)
    name, sealed = sealing.seal(plain, order_code=order.code, keys=keys())
    row = UnlockCode.objects.create(
        order=order, shape=shape, sealed=sealed, key_name=name, given_at=at, given_by=by.name
    )
    history.record(order=order, what="code given", by=by.name, at=at, facts={"shape": shape})
    return row


@sensitive_variables("code", "plain")
def _checked(shape: str, code: str) -> str:
    if shape not in UnlockCode.Shape.values:
        raise Refused("Say what kind of code it is.", field="shape")
    plain = code if shape == UnlockCode.Shape.WORD else re.sub(r"[\s-]", "", code)
    rule = _SHAPES.get(UnlockCode.Shape(shape))
    if rule and not re.fullmatch(rule[0], plain, re.ASCII):
        raise Refused(rule[1], field="unlock_code")
    if not plain or len(plain.encode()) > 100 or not plain.isprintable():
        raise Refused("A password has 1 to 100 characters.", field="unlock_code")
    return plain


@sensitive_variables("code")
@in_turn
def show(*, order: Order, reason: str, by: Person, at: dt.datetime) -> Shown:
    """Let a person read the code, for a reason that the customer sees. Raises Refused."""
    row = held(order)
    if row is None:
        raise Refused("There is no code here for this order.")
    if not reason.strip():
        raise Refused("Say which test needs it. The customer reads the reason.", field="reason")
    try:
        code = sealing.unseal(bytes(row.sealed), key_name=row.key_name, order_code=order.code, keys=keys())
    except sealing.CannotOpen as fault:
        raise Refused(
            f"The code cannot be opened. {fault} Ask the customer again if it is needed."
        ) from fault
    if len(code) > 3 and code.casefold() in reason.casefold():
        raise Refused("Do not write the code itself into the reason.", field="reason")
    until = at + dt.timedelta(seconds=SHOWN_SECONDS)
    CodeShowing.objects.create(code=row, reason=reason.strip()[:200], at=at, until=until, by=by)
    history.record(
        order=order, what="code shown", by=by.username, at=at, facts={"reason": reason.strip()[:200]}
    )
    return Shown(code, row.shape, until)


@in_turn
def erase(*, order: Order, why: str, by: str, at: dt.datetime) -> bool:
    """Empty the sealed bytes for good; says whether there was anything."""
    return _erase(order, why=why, by=by, at=at)


def _erase(order: Order, *, why: str, by: str, at: dt.datetime) -> bool:
    emptied = UnlockCode.objects.filter(order=order, erased_at__isnull=True).update(
        sealed=b"", erased_at=at, erased_why=why[:120]
    )
    if emptied:
        history.record(order=order, what="code erased", by=by, at=at, facts={"why": why[:120]})
    return bool(emptied)


def erase_what_left(*, at: dt.datetime) -> int:
    """The clock's sweep: codes of orders that have left or are closed, whichever way they ended."""
    left = UnlockCode.objects.filter(erased_at__isnull=True).select_related("order")
    gone = [row.order for row in left if row.order.sent_at or row.order.closed_at]
    return sum(erase(order=order, why="The device has left", by="clock", at=at) for order in gone)


@in_turn
def seal_again(*, by: str, at: dt.datetime) -> int:
    """Seal every code under the first key; returns how many were under another."""
    known = keys()
    first = next(iter(known))
    rows = list(
        UnlockCode.objects.filter(erased_at__isnull=True).exclude(key_name=first).select_related("order")
    )
    for row in rows:
        code = row.order.code
        plain = sealing.unseal(bytes(row.sealed), key_name=row.key_name, order_code=code, keys=known)
        row.key_name, row.sealed = sealing.seal(plain, order_code=code, keys=known)
        row.save(update_fields=["key_name", "sealed"])
    if rows:
        history.record(order=None, what="codes sealed again", by=by, at=at, facts={"count": len(rows)})
    return len(rows)


def names_in_use() -> set[str]:
    return set(UnlockCode.objects.filter(erased_at__isnull=True).values_list("key_name", flat=True))
