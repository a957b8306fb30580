"""What the clock does: reminders, lapses, old drafts, the monthly report. Safe to run at any time and as often as one likes."""

import datetime as dt
import logging
from collections.abc import Callable

from intake import drafting
from intake.stations import Station
from quotes import offers
from quotes.models import Quote
from shop import house_day
from shop.backup import nights
from shop.banking import holding
from shop.books.months import posting
from shop.clock_marks import Deed, claim, marked
from shop.doors import coming_in, sessions, tries
from shop.keeping import forgetting, remains
from shop.running import whole
from shop.vault import unlocking as codes

_log = logging.getLogger("benchpost.clock")
ROUND = dt.timedelta(minutes=1)


def tick(*, at: dt.datetime) -> dict[str, int]:
    """One round; returns how many of each were done. One kind of work that fails does not stop the others, nor does one quote."""
    return {name: marked(name, deed, at=at) for name, deed in _WORK.items()}


def tick_long(*, at: dt.datetime) -> dict[str, int]:
    """Work that may take minutes: of all machines one does each, in a thread or task of its own beside the short rounds."""
    return {
        name: marked(name, deed, at=at)
        for name, (every, deed) in _LONG_WORK.items()
        if claim(name, at=at, every=every)
    }


def kinds() -> list[tuple[str, dt.timedelta, bool]]:
    """Name of each kind of work, how often it is begun, and whether it may take long."""
    short = [(name, ROUND, False) for name in _WORK]
    return short + [(name, every, True) for name, (every, _) in _LONG_WORK.items()]


def _waiting() -> list[Quote]:
    return list(
        Quote.objects.filter(end__isnull=True, order__station=int(Station.GO_AHEAD)).select_related(
            "order__customer", "rates"
        )
    )


def _reminders(at: dt.datetime) -> int:
    done = 0
    for quote in _waiting():
        if at > quote.valid_until:
            continue
        due = [
            number
            for number, days in enumerate(sorted(quote.rates.reminder_days), start=1)
            if quote.sent_at + dt.timedelta(days=days) <= at
        ]
        # After a long sleep only the newest reminder goes, not all that were missed.
        if due and not quote.order.letters.filter(key=f"quote_reminder:{quote.pk}:{due[-1]}").exists():
            done += _done(
                quote, lambda quote=quote, due=due: offers.remind(quote=quote, number=due[-1], at=at)
            )
    return done


def _lapses(at: dt.datetime) -> int:
    return sum(
        _done(quote, lambda quote=quote: offers.lapse(quote=quote, at=at))
        for quote in _waiting()
        if at > quote.valid_until
    )


def _done(quote: Quote, deed: Callable[[], bool]) -> bool:
    try:
        return deed()
    except Exception:  # whatever is wrong with one quote, the others have their clock too
        _log.exception("clock work on quote %s failed; it is tried again at the next round", quote.pk)
        return False


def _let_go(at: dt.datetime) -> int:
    done = sum(forgetting.forget(at=at).values())
    done += holding.drop_old(at=at)
    done += sessions.forget_ended(at)
    remains.wipe()
    return done


_WORK: dict[str, Deed] = {
    "reminders": _reminders,
    "lapsed": _lapses,
    "drafts": lambda at: drafting.forget_expired(at=at),
    "codes": lambda at: codes.erase_what_left(at=at),
    "reports": lambda at: posting.post_due(at=at),
    "sign_in_tries": lambda at: tries.forget_old(at=at),
    "many_tries": lambda at: coming_in.tell_of_many(at=at),
    "backup_warning": nights.warn,
}
# How often each may begin; whether there is anything to do, the work itself decides.
_LONG_WORK: dict[str, tuple[dt.timedelta, Deed]] = {
    "keeping": (dt.timedelta(days=1), _let_go),
    "history": (dt.timedelta(days=1), whole.check),
    "house_day": (dt.timedelta(minutes=10), house_day.post_due),
    "backup": (dt.timedelta(minutes=1), nights.back_up),
    "drill": (dt.timedelta(minutes=1), nights.prove),
}
