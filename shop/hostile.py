"""The last net under what people send: a value that no row can hold is answered with a plain 400, not with a fault of ours.

The causes are mended where the value comes in (forms refuse control characters, numbers and days have limits); what
still gets through is written to the log with its place, so that it can be mended there as well.
"""

import logging
import traceback
from collections.abc import Callable
from http import HTTPStatus

from django.db import DataError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from intake.request_words import plain_text

PAGE = "shop/unreadable.html"
NEVER_SHOWN = ("password", "unlock_code", "csrfmiddlewaretoken", "form_key", "token", "draft")
MOST_SHOWN = 20_000

_log = logging.getLogger("benchpost.hostile")


class HostileInputMiddleware:
    """Answers 400 with what was typed, in place of a view that met a value past every limit."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        return _unreadable(request, fault) if is_past_limits(fault) else None


def is_past_limits(fault: BaseException) -> bool:
    """Whether a value that was sent has no place in a row: too large, a NUL, half a character."""
    if isinstance(fault, DataError | OverflowError | UnicodeEncodeError):
        return True
    return isinstance(fault, ValueError) and "NUL" in str(fault)


def _unreadable(request: HttpRequest, fault: Exception) -> HttpResponse:
    place = f"{type(fault).__name__} at {_place(fault)}"
    _log.error("a value that no row can hold came as far as %s", place)
    page = render_to_string(PAGE, {"fields": _typed(request)})
    answer = HttpResponse(page, status=HTTPStatus.BAD_REQUEST)
    answer.headers["Cache-Control"] = "private, no-store"
    answer.caught_late = place
    return answer


def _place(fault: Exception) -> str:
    """The innermost line of our own that the fault came through."""
    frames = [
        frame for frame in traceback.extract_tb(fault.__traceback__) if "site-packages" not in frame.filename
    ]
    last = frames[-1] if frames else None
    return f"{last.filename.rpartition('/')[2]}:{last.lineno}" if last else "an unknown place"


def _typed(request: HttpRequest) -> list[tuple[str, str]]:
    """(name, value) of what was posted, to be copied from the page; secrets and marks of the form are left out."""
    if request.method != "POST":
        return []
    shown = [(name, plain_text(value)) for name, values in request.POST.lists() for value in values if value]
    return [
        (plain_text(name).replace("_", " ").capitalize()[:80], value[:MOST_SHOWN])
        for name, value in shown
        if not any(word in name for word in NEVER_SHOWN)
    ][:100]
