"""The red line over the owner's pages: read from the rows, kept for half a minute in each process."""

import datetime as dt
import time

from shop.running.judging import RED, Finding, judge
from shop.running.reading import at_a_glance

KEEP_SECONDS = 30.0


class _Kept:
    def __init__(self) -> None:
        self.forget()

    def forget(self) -> None:
        self._found: list[Finding] = []
        self._until = float("-inf")

    def read(self, at: dt.datetime) -> list[Finding]:
        if time.monotonic() >= self._until:
            self._found = [one for one in judge(at_a_glance(at)) if one.colour == RED]
            self._until = time.monotonic() + KEEP_SECONDS
        return self._found


_kept = _Kept()


def red(at: dt.datetime, *, apart_from: str = "") -> list[Finding]:
    """What is red as of at most half a minute ago; without what the page says by itself (`about` of a finding)."""
    return [one for one in _kept.read(at) if not apart_from or one.about != apart_from]


def forget() -> None:
    """The next page reads anew."""
    _kept.forget()
