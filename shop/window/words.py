"""Who has to act now, what holds it up and how it ended, in the customer's words."""

import datetime as dt

from django.utils import timezone

from intake import wording
from intake.house import house
from intake.models import Order
from intake.stations import Outcome, SlipReason, Station
from shop.branches.quarantine import NOT_WIPED, battery_is_out

SLIPS: dict[SlipReason, tuple[str, str]] = {
    SlipReason.CUSTOMER: ("for you", "We have asked you something. Please answer below, or ring us."),
    SlipReason.PART: (
        "for a part",
        "A part for your repair is on order. Work goes on when it is here; the price stays.",
    ),
    SlipReason.PAYMENT: ("for payment", "We go on when the payment is in."),
    SlipReason.QUARANTINE: (
        "because of the battery",
        (
            "The battery may not be sound, so the device is kept apart and not charged. It cannot go back by ordinary "
            "post while that battery is in it. We tell you what can be done; local rules go first."
        ),
    ),
    SlipReason.WRONG_DEVICE: (
        "for a word from you",
        "The serial on the device is not the one on your form. Please tell us below which is right.",
    ),
    SlipReason.DISPUTE: ("because of a dispute", "We go on when it is settled."),
    SlipReason.LOST: (
        "for the carrier",
        "The parcel has not turned up. We have asked the carrier and will tell you.",
    ),
}
# Nothing is on order before the deposit for it is in.
PART_UNPAID = "We order the part when the deposit is in. Work goes on when it is here; the price stays."
GIVEN_AWAY = "given away"
ENDINGS: dict[str, str] = {
    Outcome.FIXED: "It is mended and home.",
    Outcome.PART_FIXED: "It is home, mended in part.",
    Outcome.DATA_ONLY: "It is home; the data was saved.",
    Outcome.NO_FIX: "It is home. We could not mend it.",
    Outcome.DECLINED: "It is home, as it came.",
    Outcome.RECYCLED: "It is wiped and recycled.",
    Outcome.UNCLAIMED: "Nobody claimed it, and this order is closed.",
    Outcome.OWN_DAMAGE: "It is home. We damaged it, and have told you how we make it good.",
    GIVEN_AWAY: "It was handed to a licensed collector, as you agreed.",
    Outcome.WITHDRAWN: "This request is called off. There is nothing to pay.",
}


def end_of(order: Order) -> str:
    """How a closed order ended, as a key of ENDINGS: what was wiped or given away is not home, whatever came before."""
    wipe = getattr(order, "wipe", None)
    if wipe is None:
        return str(order.outcome)
    return GIVEN_AWAY if wipe.method == NOT_WIPED else str(Outcome.RECYCLED)


def moment_in_zone(value: dt.datetime) -> dt.datetime:
    return timezone.localtime(value)


def day(value: dt.datetime | dt.date) -> str:
    return wording.day(moment_in_zone(value) if isinstance(value, dt.datetime) else value, house().locale)


def turn(
    order: Order,
    *,
    owed: str = "",
    until: dt.datetime | None = None,
    lapsed: bool = False,
    asked: bool = False,
    lost: bool = False,
    doing: str = "",
    deposit: str = "",
) -> str:
    """One line: whose turn it is, and what comes next.

    `owed` is the sum still to pay as it is written, "" for nothing; `until` the day an open quote stands;
    `lapsed` says that it no longer does; `asked` that a question of the customer waits for us; `lost` that the parcel
    has not turned up; `doing` is the choice that is worked on, `deposit` the sum of one that is still to come.
    """
    at = order.at_station
    if at is Station.HOME:
        return _at_home(order)
    if at is Station.GOODS_IN:
        return _before_arrival(order)
    if asked and at is not Station.WAY_HOME:
        can_answer = at is Station.GO_AHEAD and until is not None and not lapsed
        return " ".join([_ASKED, *_meanwhile(order, owed, deposit, can_answer)])
    if at is Station.WAY_HOME and lost:
        return "Our turn: the parcel has not turned up, and we are asking the carrier for it."
    if at is Station.GO_AHEAD:
        if lapsed or until is None:
            return "Your turn: our quote has lapsed. Ask for a fresh one, or for the device back as it is."
        return f"Your turn: our quote waits for your answer until {day(until)}."
    if at is Station.GOODS_OUT:
        return _before_the_way(order, owed)
    if at is Station.REPAIR and deposit:
        return f"Your turn: a deposit of {deposit}. We order the part when it is in."
    said = _DOING.get(doing, _SAID[at]) if at is Station.REPAIR else _SAID[at]
    return said + (
        f" We mean to have it done by {day(order.promise)}."
        if order.promise and at in (Station.REPAIR, Station.TEST)
        else ""
    )


def _at_home(order: Order) -> str:
    if order.outcome == Outcome.DECLINED and battery_is_out(order):
        return "It is home, without its battery. No repair was done."
    return ENDINGS.get(end_of(order), "This order is closed.")


def _meanwhile(order: Order, owed: str, deposit: str, can_answer: bool) -> list[str]:
    """What the customer can do all the same while their question waits for us."""
    at = order.at_station
    if at is Station.GO_AHEAD:
        return ["Nothing is decided by asking.", *["You can answer the quote meanwhile."] * can_answer]
    if at is Station.GOODS_OUT and owed and order.outcome not in _NOT_ASKED_TO_PAY:
        return [f"{owed} is to pay."]
    return [f"A deposit of {deposit} is to pay."] if at is Station.REPAIR and deposit else []


def onward(order: Order, *, owed: str = "", deposit: str = "", offer: str = "") -> str:
    """What the link from the head to the open station says; "" where the customer has nothing to decide or pay there.

    `offer` is what the open quote offers, with its sum; `owed` and `deposit` as `turn` takes them.
    """
    if offer:
        return f"{offer}: read it and answer"
    if order.at_station is Station.GOODS_OUT and owed and order.outcome not in _NOT_ASKED_TO_PAY:
        return f"{owed}: see how to pay"
    return f"{deposit}: see how to pay" if order.at_station is Station.REPAIR and deposit else ""


def _before_arrival(order: Order) -> str:
    if order.posted_at is None:
        return "Your turn: post the device to us, with its slip in the box."
    return f"The carrier's turn: you posted it on {day(order.posted_at)}. We tell you as soon as it is here."


def _before_the_way(order: Order, owed: str) -> str:
    if order.outcome == Outcome.RECYCLED:
        return "Our turn: we wipe it, write down how, and hand it to a recycler."
    if order.outcome == Outcome.OWN_DAMAGE:
        return "Our turn: we make good what we damaged, pack it and tell you when it is on its way."
    if owed:
        return f"Your turn: {owed} to pay. We send the parcel when it is paid."
    return "Our turn: we pack it and tell you when it is on its way."


def battery_back(order: Order) -> str:
    """How a device that is not mended goes back after a quarantine; "" where its battery is no question."""
    if order.outcome in (Outcome.FIXED, Outcome.PART_FIXED):
        return ""
    if not order.slips.filter(reason=SlipReason.QUARANTINE, ended_at__isnull=True).exists():
        return "It goes back without its battery, which was not sound." if battery_is_out(order) else ""
    if order.arrival.cell_state == "unseen":
        return (
            "It goes back once somebody trained has looked at its battery; if that is not sound, without it."
        )
    return "It goes back without its battery, once somebody trained has taken it out."


_NOT_ASKED_TO_PAY = (Outcome.RECYCLED, Outcome.OWN_DAMAGE)
_ASKED = "Our turn: you asked us something, and we will answer."
_DOING = {"data": "Our turn: the data is being saved.", "clean": "Our turn: it is being cleaned."}
_SAID: dict[Station, str] = {
    Station.REQUEST: "Your turn: the request is not finished yet.",
    Station.DIAGNOSIS: "Our turn: we look for the fault. Nothing is mended before you know the price.",
    Station.QUOTE: "Our turn: we are working out one fixed price for you.",
    Station.REPAIR: "Our turn: it is being mended.",
    Station.TEST: "Our turn: it is being tested.",
    Station.WAY_HOME: "The carrier's turn: it is on its way to you.",
}
