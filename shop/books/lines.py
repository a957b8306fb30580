"""One order as the books count it, in plain numbers, and the set of them that a page looks at. Pure.

A line of an order that has left is kept in the database (`shop.models.BookLine`, the same fields in the same order); that of one
still in the building is worked out anew each time. Money is in the currency's smallest unit, times are whole seconds since
1970 in UTC (0: never), days are proleptic Gregorian ordinals in the shop's zone (0: none), spans are seconds. Plain numbers,
because a page may add up a hundred thousand of them.
"""

import datetime as dt
import zoneinfo
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from intake.stations import Outcome

DAY_SECONDS = 86_400
MENDED = frozenset({str(Outcome.FIXED), str(Outcome.PART_FIXED), str(Outcome.DATA_ONLY)})
STATIONS_TIMED = (20, 30, 40, 50, 60, 70, 80)


class Line(NamedTuple):
    """`left` 0: still in the building. `answer`: 'accepted', 'declined', 'lapsed', 'waiting' or '' for no quote. `idea`: what the
    finding says of the customer's idea, 'right', 'partly', 'not', 'none', or '' before a finding. `quoted`: total of the newest
    quote, with tax. `technician`: pk of who spent most minutes. `at20` ... `at80`: seconds at a station, visits added, the
    running one counted up to now, -1 for never there. `part_wait`: seconds it waited for a part, -1 for never. `bench`: its
    minutes at what one costs (when it left, or now). `losses`: lost parcels, damage made good, fees of disputes and the like."""

    order: int
    currency: str = ""
    customer: int = 0
    trade: bool = False
    family: str = ""
    fault: str = ""
    remedy: str = ""
    technician: int = 0
    idea: str = ""
    arrived: int = 0
    left: int = 0
    home: int = 0
    left_day: int = 0
    station: int = 0
    outcome: str = ""
    comeback_of: int = 0
    cause: str = ""
    first_promise: int = 0
    last_promise: int = 0
    first_sent: int = 0
    answered: int = 0
    answer: str = ""
    choice: str = ""
    channel: str = ""
    quoted: int = 0
    quoted_minutes: int = 0
    billed: int = 0
    parts: int = 0
    spoiled: int = 0
    post: int = 0
    fees: int = 0
    losses: int = 0
    look: int = 0
    repair: int = 0
    test: int = 0
    talk: int = 0
    bench: int = 0
    ours: int = 0
    theirs: int = 0
    supplier: int = 0
    carrier: int = 0
    at20: int = -1
    at30: int = -1
    at40: int = -1
    at50: int = -1
    at60: int = -1
    at70: int = -1
    at80: int = -1
    part_wait: int = -1
    needs_part: bool = False
    balance: int = 0
    due: int = 0
    deposit: int = 0
    disputed: int = 0
    declared: int = 0

    @property
    def minutes(self) -> int:
        """Every minute spent, paid for or not."""
        return self.look + self.repair + self.test + self.talk

    @property
    def cash(self) -> int:
        """Cash margin: billed without tax, less parts, spoiled parts, post, payment fees and losses."""
        return self.billed - self.parts - self.spoiled - self.post - self.fees - self.losses

    @property
    def full(self) -> int:
        """Full margin: cash margin less what its minutes cost."""
        return self.cash - self.bench

    @property
    def mended(self) -> bool:
        """Whether it left, or will leave, with something to show for the work."""
        return self.outcome in MENDED

    def stay(self, at: int) -> tuple[int, bool]:
        """Seconds from arrival until it left, or until `at` where it is here; and whether it has left."""
        return max(0, (self.left or at) - self.arrived), bool(self.left)


@dataclass(frozen=True)
class House:
    """Under which letterhead and rates the figures stand. `cost_per_minute`: what a bench minute costs now, in smallest units
    times ten thousand, so that it stays whole."""

    currency: str
    digits: int
    zone: zoneinfo.ZoneInfo
    cost_per_minute: int

    def ordinal(self, moment: int) -> int:
        """The day in the shop's zone of a time in seconds."""
        return dt.datetime.fromtimestamp(moment, self.zone).toordinal()


@dataclass(frozen=True)
class Window:
    """From `since` (included) to `until` (not included), seconds; whole days in the shop's zone but for an `until` of now."""

    key: str
    words: str
    since: int
    until: int

    def holds(self, moment: int) -> bool:
        """Whether a time lies in it; 0, never, does not."""
        return self.since <= moment < self.until and moment > 0


@dataclass(frozen=True)
class Books:
    """What a page adds up: `lines` are every order still here and every one that left since the earliest `since` that was
    asked for; `now` is the moment the figures stand for, seconds. Figures are about `window`; `behind` names it again."""

    house: House
    now: int
    window: Window
    lines: tuple[Line, ...]
    foreign: int = 0

    def within(self, window: Window) -> "Books":
        """The same lines seen through another window; they must reach back as far."""
        return replace(self, window=window)

    def only(self, keep: Callable[[Line], bool]) -> "Books":
        """Those lines alone."""
        return replace(self, lines=tuple(line for line in self.lines if keep(line)))

    @property
    def today(self) -> int:
        """Ordinal of the day of `now` in the shop's zone."""
        return self.house.ordinal(self.now)

    def came(self) -> list[Line]:
        """Orders that arrived in the window, open ones among them."""
        return list(self._came)

    def gone(self) -> list[Line]:
        """Orders that left in the window."""
        return list(self._gone)

    def quoted(self) -> list[Line]:
        """Orders whose first quote was sent in the window: the cohort of its answers."""
        return [line for line in self.lines if self.window.holds(line.first_sent)]

    def here(self) -> list[Line]:
        """Orders in the building now, whenever they arrived."""
        return list(self._here)

    # Each figure asks for one of these anew: kept, since a page may look through thirty thousand lines for each of twenty.

    @cached_property
    def _came(self) -> tuple[Line, ...]:
        since, until = max(self.window.since, 1), self.window.until
        return tuple([line for line in self.lines if since <= line.arrived < until])

    @cached_property
    def _gone(self) -> tuple[Line, ...]:
        since, until = max(self.window.since, 1), self.window.until
        return tuple([line for line in self.lines if since <= line.left < until])

    @cached_property
    def _here(self) -> tuple[Line, ...]:
        return tuple([line for line in self.lines if not line.left])
