"""The owner's page on how the house runs."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import now, owner_only
from shop.running import glance
from shop.running.judging import judge, verdict
from shop.running.reading import in_full, next_letters
from shop.running.versions import versions


@never_cache
@require_safe
@owner_only
def house(request: HttpRequest) -> HttpResponse:
    """Is everything well, and if not, what to do. What was read here holds for the red line too."""
    at = now()
    facts = in_full(at)
    found = judge(facts)
    glance.forget()
    context = {
        "at": at,
        "facts": facts,
        "verdict": verdict(found),
        "found": found,
        "letters": next_letters(),
        "versions": versions(),
        "with_redis": bool(settings.REDIS_URL),
    }
    return render(request, "shop/running/house.html", context)
