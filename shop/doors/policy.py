"""Who must have a second step, and how long setting it up may be put off."""

import datetime as dt

from django.conf import settings

from intake import history
from intake.history import in_turn
from intake.models import HistoryEntry, Person

MAY_WAIT = dt.timedelta(days=7)
_ASKED = "second step asked for"


def asked_of(person: Person) -> bool:
    """Whether the shop asks a second step of this person: TWO_FACTOR is owner, all or off."""
    return settings.TWO_FACTOR == "all" or (settings.TWO_FACTOR == "owner" and person.is_owner)


def may_wait_until(person: Person) -> dt.datetime | None:
    """Seven days from the first time that the shop asked; None before that."""
    row = HistoryEntry.objects.filter(what=_ASKED, facts__person=person.pk).order_by("seq").first()
    return row.at + MAY_WAIT if row else None


@in_turn
def ask(*, person: Person, at: dt.datetime) -> dt.datetime:
    """Note the first time that a person was asked; returns until when it may wait."""
    until = may_wait_until(person)
    if until is None:
        history.record(order=None, what=_ASKED, by=person.username, at=at, facts={"person": person.pk})
        until = at + MAY_WAIT
    return until
