"""How long the door stays shut after wrong tries. Pure: moments in, a moment out.

Growing pauses instead of a lock for good, by OWASP ASVS 5.0, 6.3.1 and the OWASP Authentication Cheat Sheet (from memory);
the numbers are common practice, no source.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

LONGEST = dt.timedelta(hours=1)


@dataclass(frozen=True)
class Rule:
    """After `most` wrong tries within `within` the door is shut for `first`, after twice as many for twice that."""

    most: int
    within: dt.timedelta
    first: dt.timedelta


A_DAY, AN_HOUR, TEN = dt.timedelta(days=1), dt.timedelta(hours=1), dt.timedelta(minutes=10)
# One sender with one name, or one known browser; one sender whatever the name; one name whatever the sender.
TOGETHER = Rule(10, A_DAY, TEN)
SENDER = Rule(50, AN_HOUR, TEN)
NAME = Rule(100, AN_HOUR, TEN)
# Somebody who types wrong codes has the right password: less patience than with names.
CODES = Rule(30, A_DAY, AN_HOUR)


def shut_until(wrong: Sequence[dt.datetime], rule: Rule, *, at: dt.datetime) -> dt.datetime | None:
    """Until when nobody is heard, or None. `wrong` are the moments of wrong tries, oldest first."""
    counted = [moment for moment in wrong if moment > at - rule.within]
    rounds = len(counted) // rule.most
    if not rounds:
        return None
    last = counted[rounds * rule.most - 1]
    until = last + min(rule.first * 2 ** min(rounds - 1, 10), LONGEST)
    return until if until > at else None
