"""The address of the figures, for whoever holds the key."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from prometheus_client import CONTENT_TYPE_LATEST

from shop.access import now
from shop.running import metrics


@never_cache
@require_safe
def figures(request: HttpRequest) -> HttpResponse:
    """Nothing is at this address where no key was set; a wrong key is 401."""
    if not settings.METRICS_KEY:
        raise Http404
    if not metrics.may_read(request.headers.get("Authorization", ""), settings.METRICS_KEY):
        return HttpResponse(
            "The key is missing or wrong.\n",
            status=401,
            content_type="text/plain; charset=utf-8",
            headers={"WWW-Authenticate": "Bearer"},
        )
    return HttpResponse(metrics.text(now()), content_type=CONTENT_TYPE_LATEST)
