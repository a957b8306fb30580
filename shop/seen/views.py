"""How often the suggestion of orders seen before was right."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.access import staff_only
from shop.seen import hits


@require_safe
@staff_only
def seen_before(request: HttpRequest) -> HttpResponse:
    return render(request, "shop/seen/hits.html", {"kinds": hits.all_hits(), "stood": hits.stood()})
