"""Each kind of clock work leaves a mark: when it began, when it last ended well, what went wrong. The owner reads it."""

import datetime as dt
import logging
from collections.abc import Callable

from django.db import IntegrityError, transaction
from django.db.models import F, Q

from shop.models import ClockMark
from shop.running.logs import kind_of

Deed = Callable[[dt.datetime], int]
AHEAD = dt.timedelta(hours=1)
_log = logging.getLogger("benchpost.clock")


def marked(name: str, deed: Deed, *, at: dt.datetime) -> int:
    """Do one kind of work and mark how it went. A fault is logged and marked, and stops no other kind; returns 0 then."""
    try:
        done = deed(at)
    except Exception as fault:
        _log.exception("clock work %s failed; it is tried again at the next round", name)
        _mark(name, at=at, fault=kind_of(fault))
        return 0
    _mark(name, at=at)
    return done


def claim(name: str, *, at: dt.datetime, every: dt.timedelta) -> bool:
    """True for exactly one of all that ask, once in `every`: for long work that two machines must not do at once.

    A mark from far ahead is of a clock that was wrong since, and bars nobody.
    """
    try:
        with transaction.atomic():
            ClockMark.objects.create(name=name, began_at=at)
    except IntegrityError:
        due = Q(began_at__lte=at - every) | Q(began_at__gt=at + every + AHEAD)
        return bool(ClockMark.objects.filter(due, name=name).update(began_at=at))
    return True


def _mark(name: str, *, at: dt.datetime, fault: str = "") -> None:
    went = {"fault_at": at, "fault": fault[:300], "faults": F("faults") + 1} if fault else {"done_at": at}
    if ClockMark.objects.filter(name=name).update(began_at=at, rounds=F("rounds") + 1, **went):
        return
    ClockMark.objects.get_or_create(name=name, defaults={"began_at": at})
    ClockMark.objects.filter(name=name).update(began_at=at, rounds=F("rounds") + 1, **went)
