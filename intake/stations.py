"""The numbered stations of the sheet, the moves between them, the slips, and whose clock runs.

Pure: plain values, no database. The numbers leave gaps for a shop's own stations, as a works
traveller has. ``WAY_HOME`` and ``HOME`` are not stations on the paper: nobody signs them.
"""

from enum import IntEnum, StrEnum


class Station(IntEnum):
    REQUEST = 10
    GOODS_IN = 20
    DIAGNOSIS = 30
    QUOTE = 40
    GO_AHEAD = 50
    REPAIR = 60
    TEST = 70
    GOODS_OUT = 80
    WAY_HOME = 90
    HOME = 100


NAMES: dict[Station, str] = {
    Station.REQUEST: "Request",
    Station.GOODS_IN: "Goods in",
    Station.DIAGNOSIS: "Diagnosis",
    Station.QUOTE: "Quote",
    Station.GO_AHEAD: "Go-ahead",
    Station.REPAIR: "Repair",
    Station.TEST: "Test",
    Station.GOODS_OUT: "Goods out",
    Station.WAY_HOME: "On its way home",
    Station.HOME: "Home",
}

ON_THE_SHEET: tuple[Station, ...] = tuple(s for s in Station if s <= Station.GOODS_OUT)


class Outcome(StrEnum):
    """How an order ended; a field of its own, beside the station."""

    NONE = ""
    FIXED = "fixed"
    PART_FIXED = "part fixed"
    DATA_ONLY = "data only"
    NO_FIX = "no fix"
    DECLINED = "declined"
    RECYCLED = "recycled"
    UNCLAIMED = "unclaimed"
    WITHDRAWN = "withdrawn"
    OWN_DAMAGE = "own damage"


S = Station
MOVES: dict[tuple[Station, Station], str] = {
    (S.REQUEST, S.GOODS_IN): "the form was sent",
    (S.GOODS_IN, S.DIAGNOSIS): "the parcel was taken in",
    (S.GOODS_IN, S.HOME): "withdrawn before it arrived",
    (S.DIAGNOSIS, S.QUOTE): "the fault was found",
    (S.DIAGNOSIS, S.GOODS_OUT): "nothing can be offered, or our own damage",
    (S.QUOTE, S.GO_AHEAD): "the quote was sent",
    (S.QUOTE, S.DIAGNOSIS): "it needs another look",
    (S.GO_AHEAD, S.QUOTE): "a new revision is being written",
    (S.GO_AHEAD, S.REPAIR): "agreed",
    (S.GO_AHEAD, S.GOODS_OUT): "answered no",
    (S.REPAIR, S.TEST): "the repair is done",
    (S.REPAIR, S.QUOTE): "a second fault was found",
    (S.REPAIR, S.GOODS_OUT): "no fix, or our own damage",
    (S.TEST, S.REPAIR): "the test failed",
    (S.TEST, S.GOODS_OUT): "tested",
    (S.GOODS_OUT, S.WAY_HOME): "handed to the post",
    (S.GOODS_OUT, S.HOME): "recycled or handed over",
    (S.WAY_HOME, S.HOME): "delivered",
}


def may_move(come_from: Station, to: Station) -> bool:
    return (come_from, to) in MOVES


class SlipReason(StrEnum):
    """Why an order is held up; each slip is a row with a reason, a start and an end."""

    CUSTOMER = "for the customer"
    PART = "for a part"
    PAYMENT = "for payment"
    QUARANTINE = "quarantine"
    WRONG_DEVICE = "wrong device"
    DISPUTE = "in dispute"
    LOST = "lost in the post"


class Clock(StrEnum):
    """Whose time is running."""

    SHOP = "shop"
    CUSTOMER = "customer"
    SUPPLIER = "supplier"
    CARRIER = "carrier"
    NOBODY = "nobody"


_STATION_CLOCK: dict[Station, Clock] = {
    S.GOODS_IN: Clock.CUSTOMER,
    S.GO_AHEAD: Clock.CUSTOMER,
    S.WAY_HOME: Clock.CARRIER,
    S.HOME: Clock.NOBODY,
}
_SLIP_CLOCK: dict[SlipReason, Clock] = {
    SlipReason.CUSTOMER: Clock.CUSTOMER,
    SlipReason.PART: Clock.SUPPLIER,
    SlipReason.PAYMENT: Clock.CUSTOMER,
    SlipReason.QUARANTINE: Clock.SHOP,
    SlipReason.WRONG_DEVICE: Clock.CUSTOMER,
    SlipReason.DISPUTE: Clock.CUSTOMER,
    SlipReason.LOST: Clock.CARRIER,
}
_SLIP_ORDER = (
    SlipReason.LOST,
    SlipReason.QUARANTINE,
    SlipReason.WRONG_DEVICE,
    SlipReason.DISPUTE,
    SlipReason.PART,
    SlipReason.CUSTOMER,
    SlipReason.PAYMENT,
)


def whose_clock(station: Station, slips: frozenset[SlipReason], *, posted: bool = False) -> Clock:
    """Who has to act now.

    A slip speaks before its station; of several slips the gravest speaks. Before goods in the
    customer holds the device until it is posted, then the carrier does.
    """
    for reason in _SLIP_ORDER:
        if reason in slips:
            return _SLIP_CLOCK[reason]
    if station is Station.GOODS_IN and posted:
        return Clock.CARRIER
    return _STATION_CLOCK.get(station, Clock.SHOP)
