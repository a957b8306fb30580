"""Notes who saw what, after a page was shown to somebody of the staff."""

import logging
from collections.abc import Callable

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse

from intake import drain
from intake.models import Person
from shop.keeping import sights

Answer = Callable[[HttpRequest], HttpResponse]
_log = logging.getLogger("benchpost.keeping")


class SightMiddleware:
    """A page that was shown (200) is noted; a note that cannot be written keeps nobody from working."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        match = request.resolver_match
        if match is None or match.url_name not in sights.SEEN or response.status_code != 200:
            return response
        if request.method == "GET" and isinstance(request.user, Person):
            _note(request.user, match.url_name, match.kwargs)
        return response


def _note(person: Person, name: str, kwargs: dict[str, object]) -> None:
    try:
        sights.note(person.pk, name, kwargs, at=drain.now())
    except DatabaseError:
        _log.exception("who saw what could not be noted")
