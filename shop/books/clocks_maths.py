"""Whose time an order's days were: shop, customer, supplier or carrier. Pure.

At each moment the clock is that of the slips on the sheet, else that of the open station (`intake.stations.whose_clock`).
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from intake.stations import Clock, Station, whose_clock
from shop.books.sheet_facts import DAY_SECONDS, Hold, OrderFacts, Visit

OWNERS = (Clock.SHOP, Clock.CUSTOMER, Clock.SUPPLIER, Clock.CARRIER)


@dataclass(frozen=True)
class Shares:
    """Days by owner of the clock, all orders together."""

    days: dict[Clock, float]

    @property
    def all(self) -> float:
        return sum(self.days.values())

    def share(self, owner: Clock) -> float:
        """0 to 1; nought where no time went by."""
        return self.days.get(owner, 0.0) / self.all if self.all else 0.0


def owned_days(
    visits: Iterable[Visit], holds: Iterable[Hold], *, since: dt.datetime, until: dt.datetime
) -> dict[Clock, float]:
    """Days between two moments by whose they were; a moment before any known station counts for the shop."""
    visits, holds = list(visits), list(holds)
    edges = {since, until}
    spans: list[Visit | Hold] = [*visits, *holds]
    for span in spans:
        edges |= {edge for edge in (span.since, span.until) if edge is not None and since < edge < until}
    cuts = sorted(edge for edge in edges if since <= edge <= until)
    days: dict[Clock, float] = {}
    for start, end in zip(cuts, cuts[1:], strict=False):
        stations = [visit.station for visit in visits if _covers(visit, start)]
        slips = frozenset(hold.reason for hold in holds if _covers(hold, start))
        owner = whose_clock(stations[-1] if stations else Station.DIAGNOSIS, slips)
        days[owner] = days.get(owner, 0.0) + (end - start).total_seconds() / DAY_SECONDS
    return days


def order_days(order: OrderFacts, *, at: dt.datetime) -> dict[Clock, float]:
    """Of one order, from its arrival until it left, or until `at`."""
    end = min(order.left or at, at)
    return owned_days(order.visits, order.holds, since=order.arrived, until=max(order.arrived, end))


def shares(each: Iterable[dict[Clock, float]]) -> Shares:
    """Several orders added up."""
    days = dict.fromkeys(OWNERS, 0.0)
    for one in each:
        for owner, spent in one.items():
            days[owner] = days.get(owner, 0.0) + spent
    return Shares(days)


def _covers(span: Visit | Hold, moment: dt.datetime) -> bool:
    return span.since <= moment and (span.until is None or moment < span.until)
