"""What the made orders take from the bins is put there first: a delivery a year for each part, then the counters."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence

from django.db.models import F

from intake.lifecycle import Actor
from quotes import stock
from quotes.models import Move, Part
from shop.bulk.moulds import Mould
from shop.bulk.plan import Planned

# Some pieces of each lie there at the end.
SPARE = 20


def taken(mould: Mould) -> dict[int, tuple[int, int]]:
    """What a mould's moves sum to, by part: on hand, reserved."""
    sums: dict[int, tuple[int, int]] = {}
    for row in mould.of(Move):
        hand, aside = sums.get(row.plain["part_id"], (0, 0))
        sums[row.plain["part_id"]] = (
            hand + row.plain["on_hand_change"],
            aside + row.plain["reserved_change"],
        )
    return sums


def deliver(
    planned: Iterable[Planned],
    sums: Sequence[dict[int, tuple[int, int]]],
    days: Sequence[dt.date],
    *,
    by: Actor,
) -> None:
    """Put in the bins, before the first order of each year, what the orders of that year will take or set aside.

    At the cost a piece has now, so that the moving average stays what it is."""
    wanted: dict[tuple[int, int], int] = defaultdict(int)
    first: dict[int, dt.date] = {}
    for one in planned:
        day = days[one.start]
        first[day.year] = min(first.get(day.year, day), day)
        for part, (hand, aside) in sums[one.mould].items():
            wanted[day.year, part] += aside - hand
    for (year, part), pieces in sorted(wanted.items()):
        at = dt.datetime.combine(first[year], dt.time(6), dt.UTC)
        row = Part.objects.get(pk=part)
        stock.receive(
            part=row, quantity=pieces + SPARE, unit_cost=row.unit_cost, key=f"bulk:{row.number}:{year}", by=by, at=at,
            why="delivery of the year",
        )  # fmt: skip


def count_off(planned: Iterable[Planned], sums: Sequence[dict[int, tuple[int, int]]]) -> None:
    """Move the counters by the moves of these orders, in the transaction that writes them."""
    changes: dict[int, tuple[int, int]] = {}
    for one in planned:
        for part, (hand, aside) in sums[one.mould].items():
            old = changes.get(part, (0, 0))
            changes[part] = (old[0] + hand, old[1] + aside)
    for part, (hand, aside) in sorted(changes.items()):
        Part.objects.filter(pk=part).update(on_hand=F("on_hand") + hand, reserved=F("reserved") + aside)
