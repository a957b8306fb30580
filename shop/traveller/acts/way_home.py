"""Posts on the way home: it was delivered."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from shop.access import now, order_for_staff, person_of, staff_only
from shop.returns import out
from shop.traveller.acting import acted, seen_version
from shop.traveller.forms.home import DeliveredForm


@require_POST
@staff_only
def delivered(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()
    form = DeliveredForm(request.POST, at=at, sent_at=order.sent_at)

    def deed(given: dict[str, Any]) -> str:
        out.delivered(
            order=order, seen_version=seen_version(request), by=person_of(request), at=form.moment()
        )
        return "Home. The sheet is closed."

    return acted(request, order, form, deed, name="delivered")


urlpatterns: list[URLPattern] = [path("sheet/<code:code>/delivered/", delivered, name="delivered")]
