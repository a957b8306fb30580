"""Once a day: is the history whole? A break is a fault of the clock's work, which the owner's page shows."""

import datetime as dt

from intake import history


class HistoryBroken(Exception):
    """The chain of the history does not hold; the message is the sentence that names the first break."""


def check(at: dt.datetime) -> int:
    """Walk the whole history. Returns 1; raises HistoryBroken."""
    if broken := history.verify():
        raise HistoryBroken(broken)
    return 1
