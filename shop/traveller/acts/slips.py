"""Putting an order on hold, and letting it go on."""

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake import lifecycle
from intake.refusals import Refused
from intake.stations import SlipReason
from shop.access import now, order_for_staff, person_of, staff_only
from shop.traveller.acting import acted
from shop.traveller.forms.beside import SlipEndForm, SlipForm
from shop.traveller.side import SLIP_ENDS


@require_POST
@staff_only
def hold(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        due: dt.date | None = given["due"]
        lifecycle.hold(
            order,
            reason=SlipReason(given["reason"]),
            by=lifecycle.staff(person_of(request)),
            at=at,
            note=given["note"],
            due=due,
        )
        return f"Held: {given['reason']}."

    return acted(request, order, SlipForm(request.POST, prefix="slip"), deed, name="slip")


@require_POST
@staff_only
def release(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        if given["reason"] in SLIP_ENDS:
            raise Refused("This slip needs more than a word. Say on it how it ended.")
        by = lifecycle.staff(person_of(request))
        ended = lifecycle.release(order, reason=SlipReason(given["reason"]), by=by, at=at, note=given["note"])
        return f"No longer held: {given['reason']}." if ended else "That slip was taken off already."

    return acted(request, order, SlipEndForm(request.POST), deed, name="slip_end")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/hold/", hold, name="hold"),
    path("sheet/<code:code>/release/", release, name="release"),
]
