"""Whose time an order's seconds were, and how long it stood at each station. Pure.

At each moment the clock is that of the slips on the sheet, else that of the open station (`intake.stations.whose_clock`).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from intake.stations import Clock, SlipReason, Station, whose_clock


@dataclass(frozen=True)
class Span:
    """A visit to a station, or a slip on the sheet: `what` is one or the other; seconds; `until` None: it goes on."""

    what: Station | SlipReason
    since: int
    until: int | None

    def covers(self, moment: int) -> bool:
        return self.since <= moment and (self.until is None or moment < self.until)


def owned_seconds(
    visits: Sequence[Span], slips: Sequence[Span], *, since: int, until: int
) -> dict[Clock, int]:
    """Seconds between two moments by whose they were; a moment before any known station counts for the shop."""
    edges = {since, until}
    for span in (*visits, *slips):
        edges |= {edge for edge in (span.since, span.until) if edge is not None and since < edge < until}
    cuts = sorted(edge for edge in edges if since <= edge <= until)
    found: dict[Clock, int] = {}
    for start, end in zip(cuts, cuts[1:], strict=False):
        stations = [visit.what for visit in visits if visit.covers(start) and isinstance(visit.what, Station)]
        reasons = [slip.what for slip in slips if slip.covers(start) and isinstance(slip.what, SlipReason)]
        owner = whose_clock(stations[-1] if stations else Station.DIAGNOSIS, frozenset(reasons))
        found[owner] = found.get(owner, 0) + end - start
    return found


def spent_at(visits: Iterable[Span], station: int, *, now: int) -> int:
    """Seconds at one station, visits added, a running one up to `now`; -1 where it never stood there."""
    here = [visit for visit in visits if visit.what == station]
    if not here:
        return -1
    return sum(max(0, (now if visit.until is None else visit.until) - visit.since) for visit in here)


def waited(slips: Iterable[Span], reason: SlipReason, *, now: int) -> int:
    """Seconds a slip of one reason was on the sheet; -1 where there was none."""
    here = [slip for slip in slips if slip.what == reason]
    if not here:
        return -1
    return sum(max(0, (now if slip.until is None else slip.until) - slip.since) for slip in here)
