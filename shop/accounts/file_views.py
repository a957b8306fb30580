"""The journal of a period as files: CSV line by line as it is read, XLSX with its sums."""

from collections.abc import Iterator

from django.http import FileResponse, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from quotes.journal import shop_day
from shop.access import now, owner_only
from shop.accounts import journal_files, journal_rows
from shop.accounts.forms import PeriodForm

SHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _rows(form: PeriodForm) -> Iterator[journal_rows.Row]:
    found = journal_rows.postings(*form.period())
    return journal_rows.rows(found.iterator(2000), zone=timezone.get_current_timezone())


def _named(answer: HttpResponseBase, form: PeriodForm, ending: str) -> HttpResponseBase:
    since, upto = form.period()
    name = f"journal-{since.isoformat()}-{upto.isoformat()}.{ending}"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    answer.headers["X-Content-Type-Options"] = "nosniff"
    return answer


def _refused(form: PeriodForm) -> HttpResponse:
    said = [str(sentence) for errors in form.errors.values() for sentence in errors]
    return HttpResponse("\n".join(said), status=422, content_type="text/plain; charset=utf-8")


@never_cache
@require_safe
@owner_only
def journal_csv(request: HttpRequest) -> HttpResponseBase:
    form = PeriodForm(request.GET, today=shop_day(now()))
    if form.errors:
        return _refused(form)
    lines = journal_files.as_csv(_rows(form))
    return _named(StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8"), form, "csv")


@never_cache
@require_safe
@owner_only
def journal_xlsx(request: HttpRequest) -> HttpResponseBase:
    form = PeriodForm(request.GET, today=shop_day(now()))
    if form.errors:
        return _refused(form)
    file = journal_files.as_xlsx(_rows(form), journal_rows.sums(*form.period()))
    return _named(FileResponse(file, content_type=SHEET), form, "xlsx")
