"""The replay: last year's orders again, with what the owner changes."""

from datetime import date
from typing import Any

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import now, owner_only
from shop.books import finding, gather, table_files
from shop.books.figures import Table
from shop.books.file_views import KINDS
from shop.books.lines import Books
from shop.books.order_views import about
from shop.books.replay import sums, words
from shop.books.replay.forms import ReplayForm
from shop.books.replay.queries import extra, remedies
from shop.books.replay.replay_maths import replayed, stops
from shop.books.replay.shapes import Extra, Replayed
from shop.books.showing import say

MOST_CHANGED = 10
YEAR = "year"


@never_cache
@require_safe
@owner_only
def replay(request: HttpRequest) -> HttpResponse:
    books, form = _asked(request)
    rest = extra(books, form.rules())
    context = (
        about(books)
        | _told(replayed(books, rest), books, rest)
        | {"form": form, "asked": request.GET.urlencode()}
    )
    return render(request, "shop/books/replay.html", context)


@never_cache
@require_safe
@owner_only
def replay_file(request: HttpRequest, *, kind: str) -> HttpResponseBase:
    """Every order of the replay that the address asks for; what does not hold there leaves things as they were."""
    books, form = _asked(request)
    table = sums.orders_table(replayed(books, extra(books, form.rules())), books)
    answer = _file(table, books, kind)
    name = f"{table.key}-{date.fromordinal(books.today).isoformat()}.{kind}"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    answer.headers["X-Content-Type-Options"] = "nosniff"
    return answer


def _file(table: Table, books: Books, kind: str) -> HttpResponseBase:
    if kind == "xlsx":
        return FileResponse(table_files.as_xlsx(table, books, finding.naming), content_type=KINDS[kind])
    if kind == "csv":
        return StreamingHttpResponse(
            table_files.as_csv(table, books, finding.naming), content_type=KINDS[kind]
        )
    raise Http404("No such kind of file.")


def _asked(request: HttpRequest) -> tuple[Books, ReplayForm]:
    books = gather.open_books(YEAR, at=now(), back=0)
    return books, ReplayForm(request.GET, house=books.house, remedies=remedies(books))


def _told(ran: Replayed, books: Books, rest: Extra) -> dict[str, Any]:
    said, after = say(books), ran.rules.stop_after
    chosen = stops(books, rest, [after])[0] if after is not None else None
    changed = ran.most_changed(MOST_CHANGED)
    codes = gather.codes(both.line.order for both in changed)
    return {
        "n": ran.was.orders,
        "moved": sum(1 for both in ran.orders if both.difference),
        "changes": ran.rules.changes,
        "rows": words.rows(ran, said),
        "assumed": words.assumed(ran, said, at_stop=chosen),
        "unknown": words.UNKNOWN,
        "changed": [(codes[both.line.order], words.change(both, ran.rules, said)) for both in changed],
        "stops": [words.stop_row(stop, said) for stop in stops(books, rest)],
    }
