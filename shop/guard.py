"""What every answer of the server carries: the content policy, the referrer policy and the shop's time zone."""

import time
import zoneinfo
from collections.abc import Callable

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.utils import timezone

from intake.models import Letterhead

Answer = Callable[[HttpRequest], HttpResponse]

CONTENT_POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data: blob:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "object-src": "'none'",
    "frame-ancestors": "'none'",
}
PERMISSIONS = ", ".join(
    f"{name}=()"
    for name in (
        "accelerometer",
        "camera",
        "display-capture",
        "geolocation",
        "gyroscope",
        "magnetometer",
        "microphone",
        "midi",
        "payment",
        "usb",
    )
)
METHODS = ("GET", "HEAD", "POST", "OPTIONS")
ZONE_SECONDS = 60.0
AWAY_SECONDS = 5.0
LIVE = "/live/"


def policy_line(changes: dict[str, str] | None = None) -> str:
    """The content policy as one header value; `changes` replaces single directives by name."""
    return "; ".join(f"{name} {value}" for name, value in {**CONTENT_POLICY, **(changes or {})}.items())


class ContentPolicyMiddleware:
    """Adds the policies. A view may set `response.content_policy` to a dict of directives it needs otherwise."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # ASVS 5.0, 4.1.4 and 13.4.4: no page has a use for TRACE, PUT and the like.
        known = request.method in METHODS
        response = self.get_response(request) if known else HttpResponseNotAllowed(METHODS)
        changes = getattr(response, "content_policy", None)
        response.headers["Content-Security-Policy"] = policy_line(changes)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        # ASVS 5.0, 14.3.2: nothing that was made for one person stays in a browser's or a proxy's store.
        response.headers.setdefault("Cache-Control", "private, no-store")
        match = request.resolver_match
        if match and "token" in match.kwargs:
            _keep_link_private(response)
        return response


def _keep_link_private(response: HttpResponse) -> None:
    """A customer's link is a key: no cache, no search engine and no other site may learn it.

    `same-origin` and not `no-referrer`: under the latter browsers post a form with `Origin: null`, which the
    form guard must refuse (Fetch standard, "append a request Origin header").
    """
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["X-Robots-Tag"] = "noindex, nofollow"


class ShopZoneMiddleware:
    """Shows every time of a page in the zone of the current letterhead; UTC while there is none."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path == LIVE:  # answered without a look at the database
            return self.get_response(request)
        with timezone.override(_kept_zone.read()):
            return self.get_response(request)


class _KeptZone:
    """One look at the letterhead a minute and process: a page must not pay a query for its clock."""

    def __init__(self) -> None:
        self.forget()

    def forget(self) -> None:
        self._zone: zoneinfo.ZoneInfo = zoneinfo.ZoneInfo("UTC")
        self._until = float("-inf")

    def read(self) -> zoneinfo.ZoneInfo:
        if time.monotonic() >= self._until:
            found = _letterhead_zone()
            self._zone = found or self._zone
            self._until = time.monotonic() + (ZONE_SECONDS if found else AWAY_SECONDS)
        return self._zone


def _letterhead_zone() -> zoneinfo.ZoneInfo | None:
    """None while the database is away: the zone of before goes on to hold."""
    try:
        return zoneinfo.ZoneInfo(str(Letterhead.current().zone))
    except DatabaseError:
        return None
    except (AttributeError, Letterhead.DoesNotExist, zoneinfo.ZoneInfoNotFoundError, ValueError):
        return zoneinfo.ZoneInfo("UTC")


_kept_zone = _KeptZone()


def forget_zone() -> None:
    """Call after the letterhead changed, so that this process shows the new zone at once."""
    _kept_zone.forget()
