"""The stretch of time a page of the books looks at."""

import datetime as dt
from dataclasses import dataclass

CHOICES: dict[str, tuple[str, int | None]] = {
    "30": ("Last 30 days", 30),
    "90": ("Last 90 days", 90),
    "all": ("All time", None),
}
USUAL = "90"


@dataclass(frozen=True)
class Period:
    """From `since` (None: the beginning) to `at`, the moment the figures stand for; aware UTC."""

    key: str
    since: dt.datetime | None
    at: dt.datetime

    @property
    def words(self) -> str:
        return CHOICES[self.key][0]


def period_of(key: str, *, at: dt.datetime) -> Period:
    """The period of an address; an unknown key is the usual one."""
    key = key if key in CHOICES else USUAL
    days = CHOICES[key][1]
    return Period(key, None if days is None else at - dt.timedelta(days=days), at)
