"""The sheet itself, and the way to it from anything typed or scanned."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from shop.access import order_for_staff, staff_only
from shop.traveller.finding import look_up
from shop.traveller.page import render_sheet


@require_safe
@staff_only
def sheet(request: HttpRequest, code: str) -> HttpResponse:
    return render_sheet(request, order_for_staff(code))


@require_safe
@staff_only
def find(request: HttpRequest) -> HttpResponse:
    """One hit leads there, several are listed, none is said kindly."""
    typed = request.GET.get("q", "").strip()[:200]
    found = look_up(typed)
    if len(found.hits) == 1:
        return HttpResponseRedirect(found.hits[0].url)
    status = 200 if found.hits or not typed else 404
    context = {"found": found, "scanned": typed, "day_sheet_url": reverse("shop:day_sheet")}
    return render(request, "shop/find.html", context, status=status)
