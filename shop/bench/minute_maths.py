"""How minutes at the bench are counted, and when a running clock is asked about. Pure: times in, numbers out.

A started minute counts (common practice, no source). It counts once for an order and a kind of work: the exact
times are added first and rounded up after, or ten switches within a minute would make ten minutes of it.
"""

import datetime as dt
from collections.abc import Iterable, Sequence

MINUTE = dt.timedelta(minutes=1)
# Longer than any piece of work: what a clock shows beyond is a clock that was forgotten. Common practice, no source.
LONGEST = dt.timedelta(hours=12)
# Without a deed for so long the bench is asked whether it still works on it; common practice, no source.
IDLE_AFTER = dt.timedelta(minutes=20)
# A clock that runs for so long, or past midnight, was forgotten; common practice, no source.
FORGOTTEN_AFTER = dt.timedelta(hours=4)


def counted(spans: Iterable[dt.timedelta]) -> int:
    """Whole minutes of all spans together, rounded up once; at least 1 if there is a span, each cut at 12 hours."""
    cut = [min(max(span, dt.timedelta(0)), LONGEST) for span in spans]
    return max(1, -(-sum(cut, dt.timedelta(0)) // MINUTE)) if cut else 0


def shares(spans: Sequence[dt.timedelta]) -> list[int]:
    """How many minutes each span adds to those before it; the shares add up to `counted(spans)`."""
    sums = [counted(spans[:number]) for number in range(len(spans) + 1)]
    return [after - before for before, after in zip(sums, sums[1:], strict=False)]


def spent(started: dt.datetime, ended: dt.datetime) -> dt.timedelta:
    """Time that really passed, whatever the clocks on the wall did meanwhile. Both aware."""
    return ended.astimezone(dt.UTC) - started.astimezone(dt.UTC)


def overlap(
    one: tuple[dt.datetime, dt.datetime | None], other: tuple[dt.datetime, dt.datetime | None]
) -> bool:
    """Whether two stretches share a moment inside; None as the end means that it still runs. They may touch."""
    first = other[1] is None or one[0] < other[1]
    return first and (one[1] is None or other[0] < one[1])


def is_idle(seen: dt.datetime, now: dt.datetime) -> bool:
    """Whether the last deed is so long ago that the bench is asked."""
    return spent(seen, now) >= IDLE_AFTER


def is_forgotten(started: dt.datetime, now: dt.datetime, zone: dt.tzinfo) -> bool:
    """Whether a clock that still runs was forgotten: over four hours, or past midnight in the shop's zone."""
    past_midnight = started.astimezone(zone).date() < now.astimezone(zone).date()
    return past_midnight or spent(started, now) > FORGOTTEN_AFTER


def moments(typed: dt.datetime, zone: dt.tzinfo) -> list[dt.datetime]:
    """The moments in UTC that a time on the shop's wall may mean: one, or two when the clocks go back, or none when
    they go forward over it. `typed` is naive."""
    found: list[dt.datetime] = []
    for fold in (0, 1):
        moment = typed.replace(tzinfo=zone, fold=fold).astimezone(dt.UTC)
        if moment.astimezone(zone).replace(tzinfo=None) == typed and moment not in found:
            found.append(moment)
    return found
