"""Posts about the minutes: the switch, minutes by hand, the answer to 'Still on it?', and a clock that is mended."""

import datetime as dt
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import URLPattern, path, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST

from intake import wording
from intake.models import Order
from intake.refusals import Refused
from shop.access import now, order_for_staff, person_of, staff_only
from shop.bench import work
from shop.bench.mending import mend, write_afterwards
from shop.bench.minute_maths import counted, spent
from shop.models import WorkSession
from shop.traveller.acting import acted, to_sheet
from shop.traveller.forms.minutes import MendForm, WriteDownForm
from shop.traveller.minutes import usual_kind


@require_POST
@staff_only
def minutes(request: HttpRequest, code: str) -> HttpResponse:
    """Start, stop or switch the minutes. Without a kind they are what the open station is for."""
    order, at, person = order_for_staff(code), now(), person_of(request)
    if request.POST.get("go") == "stop":
        said = stopped_words(work.leave(by=person, at=at), order, at=at)
        return to_sheet(request, order, said, at="here")
    kind = request.POST.get("kind") or usual_kind(order.at_station)
    try:
        switched = work.switch(order=order, kind=kind, by=person, at=at)
    except Refused as refusal:
        messages.warning(request, refusal.sentence)
        return to_sheet(request, order, at="here")
    return to_sheet(request, order, _started_words(switched, order, at), at="here")


def stopped_words(ended: WorkSession | None, here: Order, *, at: dt.datetime | None = None) -> str:
    """'Stopped after 12 minutes.', naming the order where it is another one.

    With the moment of the press it is said when a forgotten clock was stopped at its last deed instead.
    """
    if ended is None or ended.ended_at is None:
        return "Nothing was running."
    where = "" if ended.order_id == here.pk else f" on {ended.order.code}"
    length = counted([spent(ended.started_at, ended.ended_at)])
    said = f"Stopped{where} after {wording.count(length, 'minute')}"
    if at is None or ended.ended_at >= at:
        return f"{said}."
    last = wording.moment(timezone.localtime(ended.ended_at))
    return f"{said}, at the last deed there, {last}: the clock looked forgotten. Mend its minutes if that is wrong."


def _started_words(switched: work.Switched, here: Order, at: dt.datetime) -> str:
    running = f"The minutes of {switched.started.get_kind_display().lower()} run."
    return f"{stopped_words(switched.stopped, here, at=at)} {running}" if switched.stopped else running


@require_POST
@staff_only
def write_minutes(request: HttpRequest, code: str) -> HttpResponse:
    """Minutes that no clock ran for."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        row = write_afterwards(order=order, by=person_of(request), at=at, **given)
        return f"{wording.count(row.minutes, 'minute')} written down."

    form = WriteDownForm(request.POST, prefix="minutes")
    return acted(request, order, form, deed, name="minutes", at="minutes")


@require_POST
@staff_only
def still_on_it(request: HttpRequest) -> HttpResponse:
    """Yes, or stopped at the last deed, or stopped now. What does not run any more is left as it is."""
    at, person, pk = now(), person_of(request), request.POST.get("session", "")
    session = get_object_or_404(WorkSession, pk=int(pk) if pk.isdecimal() and len(pk) < 19 else 0, by=person)
    match request.POST.get("answer"):
        case "yes":
            work.touch(person, at, code=session.order.code)
            said = "The minutes run on."
        case "last":
            said = stopped_words(work.stop_at_last_deed(session=session, by=person, at=at), session.order)
        case _:
            running = work.running_of(person)
            if running is not None and running.pk == session.pk:
                work.stop(by=person, at=at)
            session.refresh_from_db()
            said = stopped_words(session, session.order)
    messages.success(request, said)
    return HttpResponseRedirect(_back(request), status=303)


def _back(request: HttpRequest) -> str:
    back = request.POST.get("back", "")
    return back if url_has_allowed_host_and_scheme(back, allowed_hosts=None) else reverse("shop:day_sheet")


@require_http_methods(["GET", "HEAD", "POST"])
@staff_only
def mend_minutes(request: HttpRequest, pk: int) -> HttpResponse:
    """The times of one clock, and on a post the mended ones."""
    session = get_object_or_404(WorkSession.objects.select_related("order", "by", "mended_by"), pk=pk)
    form = MendForm(request.POST or None, session=session)
    if request.method == "POST" and form.is_valid():
        begin, end = form.times()
        try:
            row = mend(
                session=session, started_at=begin, ended_at=end, why=form.cleaned_data["why"],
                by=person_of(request), at=now(),
            )  # fmt: skip
        except Refused as refusal:
            form.add_error(refusal.field or None, refusal.sentence)
        else:
            length = counted([spent(row.started_at, end)])
            return to_sheet(request, row.order, f"Mended: {wording.count(length, 'minute')}.", at="minutes")
    context = {"session": session, "order": session.order, "form": form, "at": now()}
    return render(request, "shop/mend_minutes.html", context, status=422 if form.errors else 200)


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/minutes/", minutes, name="work_minutes"),
    path("sheet/<code:code>/minutes/write/", write_minutes, name="write_minutes"),
    path("bench/still-on-it/", still_on_it, name="still_on_it"),
    path("bench/minutes/<int:pk>/", mend_minutes, name="mend_minutes"),
]
