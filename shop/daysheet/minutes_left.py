"""How many minutes the next work at a station still takes: what was agreed, or what it usually took here. Pure."""

from collections.abc import Iterable
from statistics import median

from intake.stations import Station

# While fewer of the shop's own are known; common practice, no source.
USUAL: dict[Station, int] = {Station.DIAGNOSIS: 30, Station.TEST: 20}
ENOUGH = 5


def usual_minutes(signed: Iterable[tuple[int, int]]) -> dict[Station, int]:
    """The median of the minutes with which each station was signed, (station, minutes) each; `USUAL` below five."""
    own: dict[Station, list[int]] = {station: [] for station in USUAL}
    for station, minutes in signed:
        if Station(station) in own:
            own[Station(station)].append(minutes)
    return {
        station: round(median(found)) if len(found) >= ENOUGH else USUAL[station]
        for station, found in own.items()
    }


def minutes_left(
    station: Station, *, planned: int | None, spent: int, usual: dict[Station, int]
) -> tuple[int | None, bool]:
    """Minutes left at a station, and whether they are only the usual ones.

    `planned`: those of the agreed remedies. At repair they may be below nought, when it took longer than was agreed; what
    is only usual has 0 left at the least. None where there is nothing to go by.
    """
    if station is Station.REPAIR:
        return (planned - spent, False) if planned else (None, False)
    if station in usual:
        return max(0, usual[station] - spent), True
    return None, False
