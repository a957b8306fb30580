"""The page of the shop's own hours."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from shop.access import now, owner_only, person_of
from shop.books.hours import Hours, current_hours, next_closed, regions
from shop.books.hours_change import change_hours
from shop.books.hours_forms import HoursForm
from shop.office.editing import Page, edit


@require_http_methods(["GET", "HEAD", "POST"])
@owner_only
def hours(request: HttpRequest) -> HttpResponse:
    held = current_hours()
    page = Page(
        "Opening hours",
        "When hands are at the bench. The books also say turnaround and promises in these hours.",
        reverse("shop:hours"),
        saved="Saved. Below are the next closed days as they were understood.",
        template="shop/books/hours.html",
        more=_understood(held),
    )
    form = HoursForm(request.POST or None, hours=held)
    return edit(
        request,
        page,
        form,
        lambda changes: change_hours(
            changes=changes, seen_version=form.cleaned_data["seen"], by=person_of(request), at=now()
        ),
    )


def _understood(held: Hours) -> dict[str, Any]:
    return {
        "guessed": held.guessed,
        "closed": next_closed(held, after=timezone.localdate(now())),
        "regions": regions(held.country),
    }
