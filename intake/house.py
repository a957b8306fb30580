"""What every page says about the shop itself, kept for a minute so that no page pays a query for its own head."""

import time
from dataclasses import dataclass

from django.db import DatabaseError

from intake.models import Letterhead
from intake.wording import PLAIN

KEEP_SECONDS = 60.0
AWAY_SECONDS = 5.0


@dataclass(frozen=True)
class House:
    """The letterhead in plain values; empty words while the shop is not set up."""

    name: str = ""
    email: str = ""
    phone: str = ""
    hours: str = ""
    locale: str = PLAIN
    currency: str = "USD"


class _Kept:
    def __init__(self) -> None:
        self.forget()

    def forget(self) -> None:
        self._house = House()
        self._until = float("-inf")

    def read(self) -> House:
        if time.monotonic() >= self._until:
            found = _read()
            self._house = found or self._house
            self._until = time.monotonic() + (KEEP_SECONDS if found else AWAY_SECONDS)
        return self._house


def _read() -> House | None:
    """None while the database is away: what was known before goes on to hold."""
    try:
        now = Letterhead.current()
    except Letterhead.DoesNotExist:
        return House()
    except DatabaseError:
        return None
    return House(now.name, now.email, now.phone, now.hours, now.locale, now.currency)


_kept = _Kept()


def house() -> House:
    """The house as of at most a minute ago in this process."""
    return _kept.read()


def forget_house() -> None:
    """Call after the letterhead changed, so that this process shows the new one at once."""
    _kept.forget()
