"""Browsers that somebody came in with before, known by a cookie (the OWASP "device cookie"; from memory).

One token a browser, a row for each person who came in with it. The row holds a digest of token and person.
"""

import datetime as dt
import hashlib
import re
import secrets

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from intake.models import Person
from shop.models import KnownBrowser

YEAR = dt.timedelta(days=365)
_TOKEN = re.compile(r"[\w-]{43}", re.ASCII)


def cookie_name() -> str:
    return "__Host-browser" if settings.SECURE_SITE else "browser"


def digest(token: str, person: int) -> str:
    """The token has 256 random bits: SHA-256 alone is enough."""
    return hashlib.sha256(f"browser {token} of person {person}".encode()).hexdigest()


def known(request: HttpRequest, person: Person | None, *, at: dt.datetime) -> KnownBrowser | None:
    """The row of this browser for a person; None for a stranger's. Also for nobody a digest is made and looked for."""
    token = _token(request)
    return KnownBrowser.objects.filter(
        digest=digest(token, person.pk if person else 0), ended_at=None, last_at__gt=at - YEAR
    ).first()


def is_known(request: HttpRequest) -> bool:
    """Whether anybody of the staff came in with this browser before; its cookie cannot be guessed or made up."""
    return _given_out(_token(request))


def remember(
    request: HttpRequest, answer: HttpResponse, person: Person, *, at: dt.datetime
) -> tuple[KnownBrowser, bool]:
    """From now on this browser is known for the person; says whether it is new. A token nobody gave out is not taken."""
    row = known(request, person, at=at)
    token = _token(request)
    new = row is None
    if row is None:
        if not _given_out(token):
            token = secrets.token_urlsafe(32)
        row, _ = KnownBrowser.objects.update_or_create(
            digest=digest(token, person.pk),
            defaults={"person": person, "made_at": at, "last_at": at, "ended_at": None},
        )
    else:
        KnownBrowser.objects.filter(pk=row.pk).update(last_at=at)
    answer.set_cookie(
        cookie_name(),
        token,
        max_age=YEAR,
        secure=settings.SECURE_SITE,
        httponly=True,
        samesite="Lax",
    )
    return row, new


def _token(request: HttpRequest) -> str:
    given = request.COOKIES.get(cookie_name(), "")
    return given if _TOKEN.fullmatch(given) else ""


def _given_out(token: str) -> bool:
    if not token:
        return False
    everybody = Person.objects.values_list("pk", flat=True)
    return KnownBrowser.objects.filter(
        digest__in=[digest(token, pk) for pk in everybody], ended_at=None
    ).exists()
