"""How long each step took: the minutes since the one ticked before it. Pure."""

import datetime as dt
from collections.abc import Sequence


def since_last(times: Sequence[dt.datetime | None]) -> list[int | None]:
    """Whole minutes, rounded down, from the tick before to each tick, in the order given.

    None where there is no tick, or none before it. Times are aware; ticks of one moment follow each other as given.
    """
    found: list[int | None] = [None] * len(times)
    ticked = sorted((time, place) for place, time in enumerate(times) if time is not None)
    for (before, _), (time, place) in zip(ticked, ticked[1:], strict=False):
        found[place] = int((time - before).total_seconds()) // 60
    return found
