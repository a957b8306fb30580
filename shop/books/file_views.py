"""The tables of the books as files, and the list of them."""

from datetime import date

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import now, owner_only
from shop.books import finding, line_table, table_files
from shop.books.figures import Table
from shop.books.lines import Books
from shop.books.order_views import about

KINDS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "txt": "text/plain; charset=utf-8",
}


@never_cache
@require_safe
@owner_only
def tables(request: HttpRequest) -> HttpResponse:
    books = finding.open_period(request.GET.get("period", ""), at=now())
    context = about(books) | {"groups": finding.tables(books), "lines": line_table.KEY}
    return render(request, "shop/books/tables.html", context)


@never_cache
@require_safe
@owner_only
def table_file(request: HttpRequest, *, key: str, kind: str) -> HttpResponseBase:
    if kind not in KINDS:
        raise Http404("No such kind of file.")
    books = finding.open_period(request.GET.get("period", ""), at=now())
    if (table := finding.table(key, books)) is None:
        raise Http404("No such table.")
    answer = _answer(table, books, kind)
    name = f"{key}-{books.window.key}-{date.fromordinal(books.today).isoformat()}.{kind}"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    answer.headers["X-Content-Type-Options"] = "nosniff"
    return answer


def _answer(table: Table, books: Books, kind: str) -> HttpResponseBase:
    if kind == "xlsx":
        return FileResponse(table_files.as_xlsx(table, books, finding.naming), content_type=KINDS[kind])
    if kind == "txt":
        return HttpResponse(table_files.as_words(table, books), content_type=KINDS[kind])
    return StreamingHttpResponse(table_files.as_csv(table, books, finding.naming), content_type=KINDS[kind])
