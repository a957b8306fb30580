"""Which order is cast from which mould, when each of its days was, and whose it is. Pure: the same seed draws the same.

Days are places in a list of working days, the last of them the day before the shop is looked at.
"""

import bisect
import itertools
import random
from collections.abc import Sequence
from dataclasses import dataclass

# Of a thousand days between two steps, how many wait one, two, ... days longer. Invented.
WAITS = (720, 150, 60, 30, 15, 10, 6, 4, 3, 2)
STILL_HERE, AT_MOST_HERE = 0.05, 900
ORDERS_A_CUSTOMER = 4
# How far back an order that is still open, or left something open, may have had its last step.
LATELY = (0, 0, 0, 1, 1, 2, 3, 5, 8, 13, 25)
COMES_BACK_AFTER = (5, 70)


@dataclass(frozen=True)
class Kind:
    """What the plan has to know of a mould: how many days it takes, how often it is drawn, what it may follow."""

    days: int
    weight: int
    recent: bool = False
    trade: bool = False
    comeback: bool = False
    mended: bool = False


@dataclass(frozen=True)
class Planned:
    """One order: its mould, the working day of each of its days, whose it is, and the order it came back from, or -1.

    `tempo` is what its minutes are times a hundred.
    """

    mould: int
    days: bytes | tuple[int, ...]
    start: int
    customer: int
    before: int
    tempo: int

    def day(self, number: int) -> int:
        """The working day on which day `number` of its mould falls."""
        return self.start + self.days[number]

    @property
    def end(self) -> int:
        return self.start + self.days[-1]


def plan(
    kinds: Sequence[Kind], *, orders: int, customers: tuple[int, int], last: int, seed: int
) -> list[Planned]:
    """So many orders, by the day they begin. `customers`: how many private ones, and how many of the trade after them;
    `last`: the last working day."""
    dice = random.Random(seed)  # noqa: S311 -- a draw that must be the same every time
    recent = [number for number, kind in enumerate(kinds) if kind.recent]
    here = max(min(round(orders * STILL_HERE), AT_MOST_HERE), min(len(recent), orders // 2))
    ended = [number for number, kind in enumerate(kinds) if not kind.recent]
    heaped = list(itertools.accumulate(kinds[number].weight for number in ended))
    drawn = [_recent(kinds, recent[number % len(recent)], last, dice) for number in range(here)]
    for _ in range(orders - here):
        number = ended[bisect.bisect(heaped, dice.randrange(heaped[-1]))]
        drawn.append(_ended(kinds, number, last, dice))
    drawn.sort(key=lambda row: (row[2], row[0], row[1]))
    return _whose(kinds, drawn, customers, dice)


def _days(kind: Kind, dice: random.Random) -> bytes:
    """Days of the mould with the waits between them: as many or more, in the same turn."""
    waits = dice.choices(range(len(WAITS)), WAITS, k=kind.days)
    return bytes([0, *itertools.accumulate(1 + wait for wait in waits)])


def _recent(kinds: Sequence[Kind], number: int, last: int, dice: random.Random) -> tuple[int, bytes, int]:
    days = _days(kinds[number], dice)
    return number, days, max(last - days[-1] - dice.choice(LATELY), 0)


def _ended(kinds: Sequence[Kind], number: int, last: int, dice: random.Random) -> tuple[int, bytes, int]:
    """Evenly over all days up to the last, a little more often in later years."""
    days = _days(kinds[number], dice)
    free = last - days[-1]
    return number, days, max(int(free * dice.random() ** 0.8), 0)


def _whose(
    kinds: Sequence[Kind],
    drawn: list[tuple[int, bytes, int]],
    customers: tuple[int, int],
    dice: random.Random,
) -> list[Planned]:
    private, trade = customers
    made: list[Planned] = []
    for mould, days, start in drawn:
        kind, before = kinds[mould], -1
        customer = private + dice.randrange(trade) if kind.trade else dice.randrange(private)
        if kind.comeback:
            before = _before(kinds, made, start + days[2], dice)
            customer = made[before].customer if before >= 0 else customer
        tempo = int(100 * min(max(dice.lognormvariate(0, 0.3), 0.4), 3))
        made.append(Planned(mould, days, start, customer, before, tempo))
    return made


def _before(kinds: Sequence[Kind], made: list[Planned], day: int, dice: random.Random) -> int:
    """An order that was mended and home some weeks before; -1 where a few tries find none."""
    least, most = COMES_BACK_AFTER
    for _ in range(40):
        if not made:
            break
        number = dice.randrange(max(0, len(made) - 60 * max(1, len(made) // (day + 1))), len(made))
        one = made[number]
        if kinds[one.mould].mended and least <= day - one.end <= most:
            return number
    return -1
