"""When the database or the disk is away, busy or full: a page that needs neither and keeps what was typed.

A fault in a view comes through the middleware, one before or after it (the session, say) through the handler of 500.
"""

import errno
import logging
import sys
from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from django.core.exceptions import BadRequest, RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse, UnreadablePostError
from django.http.multipartparser import MultiPartParserError
from django.template.loader import render_to_string

from shop.running import logs

RETRY_SECONDS = 10
PAGE, BROKEN = "shop/running/away.html", "500.html"
# What a disk says when it is full, read-only, over its share or broken.
DISK = {errno.ENOSPC, errno.EROFS, errno.EDQUOT, errno.EIO}
# Faults of the program and not of the surroundings, though the driver calls them operational.
OURS = ("no such table", "no such column", "has no column", "syntax error", "no such function")
# Sent again, but not worth reading; what is secret has to be typed anew.
SILENT = {
    "csrfmiddlewaretoken",
    "form_key",
    "key",
    "version",
    "seen",
    "was",
    "next",
    "digest",
    "draft",
    "token",
    "back",
}
SECRET = ("password", "unlock_code")
UNREADABLE = (
    BadRequest,
    MultiPartParserError,
    RequestDataTooBig,
    TooManyFieldsSent,
    TooManyFilesSent,
    UnreadablePostError,
    OSError,
)

_log = logging.getLogger("benchpost.away")


@dataclass(frozen=True)
class Field:
    """One value as it was sent; `label` is empty where nobody would want to read it."""

    name: str
    value: str
    label: str


def is_away(fault: BaseException | None) -> bool:
    """Whether it is the database or the disk that failed, and sending again later may help."""
    if isinstance(fault, OperationalError | InterfaceError):
        return not any(words in str(fault) for words in OURS)
    return isinstance(fault, OSError) and fault.errno in DISK


class AwayMiddleware:
    """Answers 503 with what was typed, in place of a view that met an absent database or a full disk."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        return away_page(request, fault) if is_away(fault) else None


def broken(request: HttpRequest) -> HttpResponse:
    """The handler of 500: the same page where the surroundings failed, else that of a fault of our own."""
    fault = sys.exc_info()[1]
    if is_away(fault):
        return away_page(request, fault)
    return HttpResponse(
        render_to_string(BROKEN, {"reference": logs.reference()}), status=HTTPStatus.INTERNAL_SERVER_ERROR
    )


def away_page(request: HttpRequest, fault: BaseException | None) -> HttpResponse:
    """503 with all fields that were sent, ready to be sent again to the same place. Touches neither database nor disk."""
    disk = isinstance(fault, OSError) or "full" in str(fault) or "readonly" in str(fault)
    _log.warning("%s: a page could not be had (%s)", "disk" if disk else "database", type(fault).__name__)
    context: dict[str, Any] = {
        "reference": logs.reference(),
        "disk": disk,
        "posted": request.method == "POST",
    }
    if request.method == "POST":
        context |= _sent(request)
    answer = HttpResponse(render_to_string(PAGE, context), status=HTTPStatus.SERVICE_UNAVAILABLE)
    answer.headers["Retry-After"] = str(RETRY_SECONDS)
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


def _sent(request: HttpRequest) -> dict[str, Any]:
    """Keys: goal, fields, secrets (labels by name), files (names of the files by field), multipart; unread where nothing could be read."""
    try:
        posted, files = list(request.POST.lists()), list(request.FILES.lists())
    except UNREADABLE:
        return {"unread": True}
    pairs = [(name, value) for name, values in posted for value in values]
    return {
        "goal": request.get_full_path(),
        "fields": [Field(name, value, _label(name)) for name, value in pairs if not _is_secret(name)],
        "secrets": {name: _label(name) for name, _ in pairs if _is_secret(name)},
        "files": {name: [file.name for file in sent if file.name] for name, sent in files},
        "multipart": (request.content_type or "").startswith("multipart/"),
    }


def _is_secret(name: str) -> bool:
    return any(word in name for word in SECRET)


def _label(name: str) -> str:
    if name in SILENT:
        return ""
    return name.replace("_", " ").replace("-", " ").strip().capitalize()
