"""The figures for another program: read with a key, never with a session."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from shop.access import now
from shop.books import as_json, finding, table_files
from shop.books.reading_keys import key_of
from shop.window.limits import too_many

MOST_TRIES, TRY_SECONDS = 30, 600
View = Callable[..., HttpResponse]


def keyed(view: View) -> View:
    """Lets a live key in; wrong ones are counted by sender. Nothing is kept by any cache, and no cookie is ever set."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        answer = _refused(request) or view(request, *args, **kwargs)
        answer.headers["Cache-Control"] = "no-store"
        answer.headers["X-Content-Type-Options"] = "nosniff"
        return answer

    return guarded


def _refused(request: HttpRequest) -> HttpResponse | None:
    given = request.headers.get("Authorization", "")
    if given and key_of(given, today=timezone.localdate()):
        return None
    sender = request.META.get("REMOTE_ADDR", "")
    if given and too_many("reading-key", sender, most=MOST_TRIES, seconds=TRY_SECONDS):
        answer = _said("These are very many wrong keys. Wait ten minutes.", status=429)
        answer.headers["Retry-After"] = str(TRY_SECONDS)
        return answer
    answer = _said("This needs a live key: Authorization: Bearer <key>.", status=401)
    # RFC 6750, section 3: a request without a key is told no error code (from memory).
    answer.headers["WWW-Authenticate"] = 'Bearer realm="books"' + (', error="invalid_token"' if given else "")
    return answer


def _said(sentence: str, *, status: int) -> HttpResponse:
    return JsonResponse({"error": sentence}, status=status)


@keyed
@require_safe
def figures(request: HttpRequest) -> HttpResponse:
    books = finding.open_period(request.GET.get("period", ""), at=now())
    return JsonResponse(as_json.figures(finding.figures(books), books))


@keyed
@require_safe
def table(request: HttpRequest, *, key: str) -> HttpResponse:
    books = finding.open_period(request.GET.get("period", ""), at=now())
    if (found := finding.table(key, books)) is None:
        return _said("There is no such table.", status=404)
    blocks = table_files.plain_rows(found, books, finding.naming)
    rows = [row for block in blocks for row in block]
    return JsonResponse(as_json.table(found, rows, books))
