"""The outermost layer: gives each request a mark, writes one line when it is answered, and counts it."""

import logging
import time
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from intake.models import Person
from shop.running import counting, logs

HEADER = "X-Request-ID"
# Asked every few seconds by machines: a line each would hide all others.
QUIET = {"shop:live", "shop:ready", "shop:metrics", "static"}
CUSTOMERS = ("your", "l", "request", "phone")
_log = logging.getLogger("benchpost.requests")


class MarkMiddleware:
    """The mark is made here and never taken from the sender, who could otherwise write into the lines of others."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        mine, began = logs.begin(request.method or ""), time.monotonic()
        try:
            answer = self.get_response(request)
            seconds = time.monotonic() - began
            mine.route, mine.who = mine.route or route_of(request), who_of(request)
            answer.headers[HEADER] = mine.mark
            counting.count(room_of(request), answer.status_code, seconds)
            level = logging.DEBUG if mine.route in QUIET else logging.INFO
            facts = {"method": mine.method, "status": answer.status_code, "ms": round(seconds * 1000)}
            _log.log(level, "%s answered", mine.route, extra={"facts": facts})
            return answer
        finally:
            logs.end()

    def process_view(self, request: HttpRequest, *_: object) -> None:
        """From here on the lines of the view itself name its route."""
        if (mine := logs.current()) is not None:
            mine.route = route_of(request)


def route_of(request: HttpRequest) -> str:
    """The name of the page, such as shop:sheet; never its path."""
    match = request.resolver_match
    if match is not None:
        return match.view_name or "unnamed"
    return "static" if request.path_info.startswith("/static/") else "none"


def room_of(request: HttpRequest) -> str:
    """The first part of the address as the program writes it: a closed set, so that nobody makes up series."""
    if (match := request.resolver_match) is None:
        return route_of(request)
    return match.route.partition("/")[0] or "front"


def who_of(request: HttpRequest) -> str:
    """Read only where it is known already: a line must not cost a query."""
    person = getattr(request, "_cached_user", None)
    if isinstance(person, Person):
        return f"person {person.pk}"
    return "customer" if room_of(request) in CUSTOMERS else "stranger"
