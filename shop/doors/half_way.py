"""Between the password and the code: five minutes and five wrong codes, kept in the session, signed in as nobody."""

import datetime as dt
from dataclasses import dataclass

from django.http import HttpRequest
from django.utils.crypto import constant_time_compare

from intake.models import Person

KEY = "half_way"
LASTS = dt.timedelta(minutes=5)
MOST_WRONG = 5


@dataclass(frozen=True)
class HalfWay:
    """Whose password was right, the row of that try, and where it was to lead."""

    person: Person
    row: int
    goal: str


def begin(request: HttpRequest, person: Person, *, row: int, goal: str, at: dt.datetime) -> None:
    """Under a new session key, so that nobody who knew the old one is half-way in."""
    request.session.cycle_key()
    request.session[KEY] = {
        "person": person.pk,
        "bound": person.get_session_auth_hash(),
        "row": row,
        "goal": goal,
        "at": at.timestamp(),
        "wrong": 0,
    }


def of(request: HttpRequest, *, at: dt.datetime) -> HalfWay | None:
    """None where nobody is half-way, too late, or where the password or the door has changed since."""
    kept = request.session.get(KEY)
    if not kept or not 0 <= at.timestamp() - kept["at"] <= LASTS.total_seconds():
        return None
    person = Person.objects.filter(pk=kept["person"], is_active=True).first()
    if person is None or not constant_time_compare(kept["bound"], person.get_session_auth_hash()):
        return None
    return HalfWay(person, kept["row"], kept["goal"])


def wrong(request: HttpRequest) -> bool:
    """Count a wrong code; True when that was the last one, and the password has to be typed again."""
    kept = dict(request.session[KEY])
    kept["wrong"] += 1
    if kept["wrong"] >= MOST_WRONG:
        del request.session[KEY]
        return True
    request.session[KEY] = kept
    return False


def end(request: HttpRequest) -> None:
    request.session.pop(KEY, None)
