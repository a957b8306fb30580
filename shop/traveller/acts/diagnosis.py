"""Posts at 30: measure, find, say what it needs."""

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake.lifecycle import SheetMoved
from intake.stations import Station
from quotes.diagnosis import Found
from shop.access import now, order_for_staff, person_of, staff_only
from shop.bench import kept_text
from shop.traveller.acting import acted, seen_version, to_sheet
from shop.traveller.forms.finding import FindingForm
from shop.traveller.signing import sign_finding


@require_POST
@staff_only
def keep_finding(request: HttpRequest, code: str) -> HttpResponse:
    """What is typed so far is kept on the server; by script every five seconds, or by the button."""
    order, at = order_for_staff(code), now()
    fields = {name: value for name, value in request.POST.items() if FindingForm.is_kept(name)}
    by_script = request.headers.get("X-Requested-With") == "benchpost"
    try:
        kept_text.keep(order=order, station=Station.DIAGNOSIS, fields=fields, by=person_of(request), at=at)
    except SheetMoved as moved:
        return (
            JsonResponse({"error": moved.sentence}, status=409)
            if by_script
            else to_sheet(request, order, moved.sentence)
        )
    return (
        JsonResponse({"kept": True}) if by_script else to_sheet(request, order, "Kept for later.", at="here")
    )


@require_POST
@staff_only
def finding(request: HttpRequest, code: str) -> HttpResponse:
    """Sign 30."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        key = given.pop("key")
        found = sign_finding(
            order=order,
            seen_version=seen_version(request),
            found=Found(**given),
            key=key,
            by=person_of(request),
            at=at,
        )
        return (
            "Signed. Now the quote." if found.mendable == "yes" else "Signed. The customer is told; pack it."
        )

    return acted(request, order, FindingForm(request.POST, order=order), deed, name="finding", at="here")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/finding/keep/", keep_finding, name="keep_finding"),
    path("sheet/<code:code>/finding/", finding, name="finding"),
]
