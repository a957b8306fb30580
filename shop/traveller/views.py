"""The sheet itself, and the way to it from anything typed or scanned."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from shop.access import now, order_for_staff, staff_only
from shop.traveller.bodies.readings import again_form
from shop.traveller.commands import read_command
from shop.traveller.finding import look_up
from shop.traveller.page import render_sheet
from shop.traveller.receiving import receiving_context
from shop.traveller.scanned import command_page


@require_safe
@staff_only
def sheet(request: HttpRequest, code: str) -> HttpResponse:
    """The sheet; `again` is the number of a reading to measure again: the line comes filled for it."""
    order = order_for_staff(code)
    again = again_form(order, request.GET.get("again", ""))
    return render_sheet(request, order, forms={"reading": again} if again else None)


@require_safe
@staff_only
def find(request: HttpRequest) -> HttpResponse:
    """One hit leads there, several are listed, none is said kindly. A command from the card shows its button."""
    typed = request.GET.get("q", "").replace("\x00", "").strip()[:200]
    if command := read_command(typed):
        return command_page(request, command)
    found = look_up(typed)
    if len(found.hits) == 1:
        return HttpResponseRedirect(found.hits[0].url)
    status = 200 if found.hits or not typed else 404
    context = {"found": found, "scanned": typed, "day_sheet_url": reverse("shop:day_sheet")}
    return render(request, "shop/find.html", context, status=status)


@require_safe
@staff_only
def receiving(request: HttpRequest) -> HttpResponse:
    """Scan a parcel, look down the expected ones, or begin a sheet for one without a form."""
    context = receiving_context(form=None, page=request.GET.get("page", "1"), at=now())
    return render(request, "shop/receiving.html", context)
