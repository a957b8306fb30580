"""What the books know of one order, in plain values. Pure: times aware UTC, money Decimal in the shop's currency."""

import datetime as dt
import zoneinfo
from dataclasses import dataclass, field
from decimal import Decimal

from intake.stations import Outcome, SlipReason, Station
from shop.books.margin_maths import Minutes, OrderMoney

MENDED = frozenset({Outcome.FIXED, Outcome.PART_FIXED, Outcome.DATA_ONLY})
DAY_SECONDS = 86_400


@dataclass(frozen=True)
class Visit:
    """One stay at a station; `until` None: still there."""

    station: Station
    since: dt.datetime
    until: dt.datetime | None


@dataclass(frozen=True)
class Hold:
    """One slip on the sheet; `until` None: still on it."""

    reason: SlipReason
    since: dt.datetime
    until: dt.datetime | None


@dataclass(frozen=True)
class OrderFacts:
    """One arrived order. `left`: sent, handed over or recycled; None: still in the building.

    `cause`: why a comeback came back, as it was looked at last. `answer`: how its quote stands, 'accepted', 'declined', 'lapsed', 'waiting' or '' for none. `quoted_minutes`: bench
    minutes of the agreed quote. `promise` and `left_day` are days in the shop's zone.
    """

    pk: int
    code: str
    what: str
    customer: str
    arrived: dt.datetime
    left: dt.datetime | None
    station: Station
    outcome: str
    comeback: bool
    promise: dt.date | None
    left_day: dt.date | None
    money: OrderMoney
    minutes: Minutes
    cause: str = ""
    answer: str = ""
    quoted_minutes: int = 0
    cost_words: tuple[str, ...] = ()
    visits: tuple[Visit, ...] = field(default=())
    holds: tuple[Hold, ...] = field(default=())

    @property
    def mended(self) -> bool:
        """Whether it left with something to show for the work."""
        return self.outcome in MENDED

    def stay(self, at: dt.datetime) -> tuple[float, bool]:
        """Days from arrival until it left, or until `at` where it has not; and whether it has."""
        return days_between(self.arrived, self.left or at), self.left is not None

    def stays_at(self, station: Station, at: dt.datetime) -> tuple[float, bool] | None:
        """Days at one station, re-entries added; None where it never stood there."""
        here = [visit for visit in self.visits if visit.station is station]
        if not here:
            return None
        return _added(here, at), all(visit.until is not None for visit in here)


@dataclass(frozen=True)
class House:
    """Under which letterhead and rates the figures stand; `cost_per_minute` is what a bench minute costs the shop."""

    currency: str
    zone: zoneinfo.ZoneInfo
    cost_per_minute: Decimal


@dataclass(frozen=True)
class QuoteFacts:
    """How an order's quotes stand: when the first went, the fate of the last, minutes of the agreed one."""

    order: int
    first_sent: dt.datetime
    answer: str
    minutes: int
    comeback: bool


@dataclass(frozen=True)
class Owed:
    """What one order still owes (above nought) or is owed (below), by its oldest bill."""

    order: int
    amount: Decimal
    due: dt.date


@dataclass(frozen=True)
class Gathered:
    """What the books rest on. `orders` arrived in the period; `quotes` and `owed` are of all time; `foreign` counts orders
    of the period in another currency, which are left out."""

    shop: House
    at: dt.datetime
    since: dt.datetime | None
    orders: tuple[OrderFacts, ...]
    quotes: tuple[QuoteFacts, ...]
    owed: tuple[Owed, ...]
    foreign: int

    @property
    def today(self) -> dt.date:
        return self.at.astimezone(self.shop.zone).date()


def days_between(start: dt.datetime, end: dt.datetime) -> float:
    """Days to a tenth, never below nought: no figure here is truer than that, and a curve stays short."""
    return max(0.0, round((end - start).total_seconds() / DAY_SECONDS, 1))


def _added(visits: list[Visit], at: dt.datetime) -> float:
    seconds = sum(max(0.0, ((visit.until or at) - visit.since).total_seconds()) for visit in visits)
    return round(seconds / DAY_SECONDS, 1)
