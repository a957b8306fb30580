"""Posts at the end of the sheet: it came back."""

from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake import arrivals
from intake.refusals import Refused
from shop.access import now, order_for_staff, person_of, staff_only
from shop.traveller.acting import to_sheet
from shop.traveller.forms.home import ComebackForm
from shop.traveller.page import render_sheet


@require_POST
@staff_only
def came_back(request: HttpRequest, code: str) -> HttpResponse:
    """Leads to the new sheet, pinned to this one."""
    order, form = order_for_staff(code), ComebackForm(request.POST)
    if form.is_valid():
        try:
            again = arrivals.start_comeback(order=order, **form.cleaned_data, by=person_of(request), at=now())
        except Refused as refusal:
            form.add_error(None, refusal.sentence)
        else:
            return to_sheet(request, again, f"A new sheet, pinned to {order.code}.")
    return render_sheet(request, order, forms={"comeback": form}, status=422)


urlpatterns: list[URLPattern] = [path("sheet/<code:code>/came-back/", came_back, name="came_back")]
