"""The tables of the books as files."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import owner_only


@never_cache
@require_safe
@owner_only
def table_file(request: HttpRequest, *, key: str, kind: str) -> HttpResponse:
    raise Http404(f"No table {key} as {kind}.")
