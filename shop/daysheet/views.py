"""The day sheet, and the count of the bags at close."""

import secrets
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from intake.refusals import Refused
from shop.access import now, person_of, staff_only
from shop.daysheet import bags
from shop.daysheet.bag_words import outcome
from shop.daysheet.forms import BagForm, CountForm
from shop.daysheet.rows import copies_due, day_sheet, forgotten_now, running_now
from shop.office.stuck import stuck_letters
from shop.running import glance
from shop.surface import running_words

# What was scanned so far, in the session of this browser: a page that is left by mistake loses nothing.
SCANNED = "bags_scanned"


@require_safe
@staff_only
def day(request: HttpRequest) -> HttpResponse:
    """One list, in the order in which hands should take it."""
    at, person = now(), person_of(request)
    sheet, orders = day_sheet(at=at)
    running, count = running_now(), bags.last_count()
    context = {
        "at": at,
        "person": person,
        "day": sheet,
        "hands": [{"placed": placed, "order": orders[placed.job.code]} for placed in sheet.hands],
        "waiting": [
            (waits, [{"row": row, "order": orders[row.job.code]} for row in rows])
            for waits, rows in sheet.by_whom
        ],
        "red": glance.red(at, apart_from="letters") if person.is_owner else [],
        "stuck": stuck_letters() if person.is_owner else 0,
        "forgotten": forgotten_now(running, at=at),
        "copies": copies_due(at=at),
        "asks": running_words(next((row for row in running if row.by_id == person.pk), None)),
        "count": count,
        "counted": outcome(bags.compared_of(count)) if count else "",
    }
    return render(request, "shop/day_sheet.html", context)


def _page(request: HttpRequest, *, bag: Form | None = None, sign: Form | None = None) -> HttpResponse:
    found: list[str] = request.session.get(SCANNED, [])
    context: dict[str, Any] = {
        "at": now(),
        "found": found,
        "sheet": bags.sheet_of(found),
        "form": bag or BagForm(),
        "sign": sign or CountForm(initial={"key": secrets.token_urlsafe(24)}),
        "last": bags.last_count(),
        "errors_present": any(form is not None and form.errors for form in (bag, sign)),
    }
    return render(request, "shop/bags.html", context, status=422 if context["errors_present"] else 200)


@require_safe
@staff_only
def count(request: HttpRequest) -> HttpResponse:
    """What was scanned so far, what is missing and what is too many."""
    return _page(request)


@require_POST
@staff_only
def scan(request: HttpRequest) -> HttpResponse:
    """One more bag; twice the same is one."""
    form = BagForm(request.POST)
    if form.is_valid():
        try:
            bag = bags.bag_of(form.cleaned_data["bag"].replace("\x00", ""))
        except Refused as refusal:
            form.add_error("bag", refusal.sentence)
        else:
            found: list[str] = request.session.get(SCANNED, [])
            request.session[SCANNED] = [bag, *(one for one in found if one != bag)]
            return HttpResponseRedirect(reverse("shop:bags"), status=303)
    return _page(request, bag=form)


@require_POST
@staff_only
def take_off(request: HttpRequest) -> HttpResponse:
    """A bag that was scanned by mistake; or all of them, to begin again."""
    bag = request.POST.get("bag", "")
    found: list[str] = request.session.get(SCANNED, [])
    request.session[SCANNED] = [one for one in found if one != bag] if bag else []
    return HttpResponseRedirect(reverse("shop:bags"), status=303)


@require_POST
@staff_only
def sign(request: HttpRequest) -> HttpResponse:
    """The count is written down and never changed; the next one begins empty."""
    form, by = CountForm(request.POST), person_of(request)
    if form.is_valid():
        found: list[str] = request.session.get(SCANNED, [])
        try:
            signed = bags.sign_count(found=found, by=by, at=now(), **form.cleaned_data)
        except Refused as refusal:
            form.add_error(refusal.field, refusal.sentence)
        else:
            request.session.pop(SCANNED, None)
            messages.success(request, f"Counted: {outcome(bags.compared_of(signed))}.")
            return HttpResponseRedirect(reverse("shop:day_sheet"), status=303)
    return _page(request, sign=form)
