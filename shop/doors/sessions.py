"""How long staff stay in: what the session of somebody signed in holds, and when it ends.

Twelve hours idle and seven days at most: common practice for a bench computer, no source. That both limits are written
down is OWASP ASVS 5.0, 7.1.1 and 7.3 (from memory).
"""

import datetime as dt
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import SESSION_KEY, login, logout, update_session_auth_hash
from django.contrib.auth.models import AnonymousUser
from django.contrib.sessions.models import Session
from django.http import HttpRequest, HttpResponse

from intake import drain
from intake.models import Person
from shop.doors import policy
from shop.doors.fresh import prove

Answer = Callable[[HttpRequest], HttpResponse]
IDLE = dt.timedelta(hours=12)
LONGEST = dt.timedelta(days=7)
SEEN_EVERY = dt.timedelta(minutes=5)
CAME_IN_AT, SEEN_AT, WITH_CODE, PUT_OFF_UNTIL = "came_in_at", "seen_at", "with_code", "put_off_until"
BACKEND = "django.contrib.auth.backends.ModelBackend"


def begin(request: HttpRequest, person: Person, *, with_code: bool) -> None:
    """Sign the person in, under a new session key; the password was typed a moment ago."""
    login(request, person, backend=BACKEND)
    now = drain.now().timestamp()
    request.session[CAME_IN_AT] = request.session[SEEN_AT] = now
    request.session[WITH_CODE] = with_code
    request.session.pop(PUT_OFF_UNTIL, None)
    prove(request)


def go_on(request: HttpRequest, person: Person) -> None:
    """Keep this one sign-in where the person's others have just been ended."""
    request.user = person
    update_session_auth_hash(request, person)


def passed_code(request: HttpRequest) -> None:
    request.session[WITH_CODE] = True


def lost_code(request: HttpRequest) -> None:
    request.session[WITH_CODE] = False


def put_off(request: HttpRequest, until: dt.datetime) -> None:
    request.session[PUT_OFF_UNTIL] = until.timestamp()


def is_over(session: dict[str, object], now: dt.datetime) -> bool:
    """Whether a session has been idle for too long, or is too old. One that says nothing of it is not."""
    moment = now.timestamp()
    came, seen = session.get(CAME_IN_AT, moment), session.get(SEEN_AT, moment)
    if not isinstance(came, int | float) or not isinstance(seen, int | float):
        return True
    return moment - came > LONGEST.total_seconds() or moment - seen > IDLE.total_seconds()


def owes_second_step(request: HttpRequest, now: dt.datetime) -> bool:
    """Whether this person may see nothing yet but the page that sets the second step up."""
    session = request.session
    if session.get(WITH_CODE) or session.get(PUT_OFF_UNTIL, 0) > now.timestamp():
        return False
    return isinstance(request.user, Person) and policy.asked_of(request.user)


def owing(request: HttpRequest) -> Person | None:
    """Who has typed the password and owes a second step: to every other page they are a stranger."""
    person = getattr(request, "owing", None)
    return person if isinstance(person, Person) else None


def forget_ended(at: dt.datetime) -> int:
    """Remove the rows of sessions that are over, with what was kept in them; returns how many."""
    return Session.objects.filter(expire_date__lt=at).delete()[0]


class DoorMiddleware:
    """Ends what has lasted too long, and keeps somebody who owes a second step out of every page but that one's."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # An answer to who brought no session must not say that it depends on one.
        if settings.SESSION_COOKIE_NAME in request.COOKIES and SESSION_KEY in request.session:
            self._look(request, drain.now())
        return self.get_response(request)

    def _look(self, request: HttpRequest, now: dt.datetime) -> None:
        if is_over(dict(request.session.items()), now):
            logout(request)
            return
        moment = now.timestamp()
        request.session.setdefault(CAME_IN_AT, moment)
        if moment - request.session.get(SEEN_AT, 0) > SEEN_EVERY.total_seconds():
            request.session[SEEN_AT] = moment
        if owes_second_step(request, now):
            request.owing = request.user  # type: ignore[attr-defined]  # read by `owing` alone
            request.user = AnonymousUser()
