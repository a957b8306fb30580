"""Closing a period: the books are proved first, then the days up to one are closed for good."""

import datetime as dt

from intake import history, wording
from intake.history import in_turn
from intake.models import Person
from quotes import proof
from quotes.journal import CHUNK, balances, closed_upto, digest_of, journal, shop_day, sums_as_text
from quotes.models import Closing
from quotes.refusals import Refused


def check_day(upto: dt.date, *, at: dt.datetime) -> None:
    """Raise Refused, beside the field, for a day that is closed already or not over yet."""
    known = closed_upto()
    if known is not None and upto <= known:
        raise Refused(f"The books are closed up to {wording.day_year(known)} already.", field="upto")
    if upto >= shop_day(at):
        raise Refused("A day can be closed when it is over.", field="upto")


@in_turn
def close(*, upto: dt.date, by: Person, at: dt.datetime) -> Closing:
    """Close all days up to and including `upto`; nothing can be booked there any more, and nobody can undo it.

    Raises Refused for a day that is not over or closed already, for anybody but the owner, and where the proof finds a
    fault: its first sentence is shown.
    """
    if not by.is_owner:
        raise Refused("Only the owner closes the books.")
    check_day(upto, at=at)
    if faults := proof.prove():
        raise Refused(f"The books do not add up, so nothing was closed. {faults[0]}")
    entries = list(journal(upto=upto).iterator(CHUNK))
    closing = Closing.objects.create(
        upto=upto,
        last_entry=max((entry.number for entry in entries), default=0),
        sums=sums_as_text(balances(upto)),
        digest=digest_of(entries),
        at=at,
        by=by,
    )
    history.record(
        order=None,
        what="books closed",
        by=by.username,
        at=at,
        facts={"upto": upto.isoformat(), "last_entry": closing.last_entry, "digest": closing.digest},
    )
    return closing
