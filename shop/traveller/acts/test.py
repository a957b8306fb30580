"""Posts at 70: the proof. Whatever is pressed, the rows are written first."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake.lifecycle import SheetMoved
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Outcome
from shop.access import now, order_for_staff, person_of, staff_only
from shop.bench import repair, testing
from shop.models import TestRun
from shop.traveller.acting import MOVED_ON, acted, seen_version
from shop.traveller.bodies.test import blank_words, open_run
from shop.traveller.forms.test import SheetForm

Ending = Callable[[Order, Person, dict[str, Any]], str]


def _form(request: HttpRequest, run: TestRun | None) -> SheetForm:
    return SheetForm(request.POST, rows=list(run.rows.select_related("run")) if run else [])


def _write(form: SheetForm, run: TestRun | None) -> TestRun:
    """Write every touched row that can be written; then raise the first that could not."""
    if run is None:
        raise SheetMoved(MOVED_ON)
    first: Refused | None = None
    for marked in form.touched():
        try:
            testing.mark(row=marked.row, result=marked.result, reason=marked.reason, reading=marked.reading)
        except Refused as refusal:
            first = first or refusal
    if first is not None:
        raise first
    return run


def _end(request: HttpRequest, code: str, ending: Ending) -> HttpResponse:
    order, by = order_for_staff(code), person_of(request)
    run = open_run(order)
    form = _form(request, run)

    def deed(given: dict[str, Any]) -> str:
        _write(form, run)
        return ending(order, by, given)

    return acted(request, order, form, deed, name="test", at="here")


@require_POST
@staff_only
def keep_rows(request: HttpRequest, code: str) -> HttpResponse:
    """Rows are written as they are ticked, by script; or by the button. Nothing is signed."""
    order = order_for_staff(code)
    run = open_run(order)
    form = _form(request, run)
    if request.headers.get("X-Requested-With") != "benchpost":
        return acted(
            request, order, form, lambda given: blank_words(_write(form, run)), name="test", at="here"
        )
    wrong = not form.is_valid()
    try:
        _write(form, run)
    except SheetMoved as moved:
        return JsonResponse({"error": moved.sentence}, status=409)
    except Refused as refusal:
        return JsonResponse({"error": refusal.sentence}, status=422)
    return JsonResponse({"kept": not wrong}, status=422 if wrong else 200)


@require_POST
@staff_only
def passed(request: HttpRequest, code: str) -> HttpResponse:
    """Sign 70: passed."""
    seen, at = seen_version(request), now()

    def ending(order: Order, by: Person, given: dict[str, Any]) -> str:
        outcome = given["outcome"] or str(Outcome.FIXED)
        testing.sign_pass(order=order, seen_version=seen, by=by, at=at, outcome=outcome)
        return "Signed. The customer has the report and the bill. Now pack it."

    return _end(request, code, ending)


@require_POST
@staff_only
def failed(request: HttpRequest, code: str) -> HttpResponse:
    """Back to 60, with words."""
    seen, at = seen_version(request), now()

    def ending(order: Order, by: Person, given: dict[str, Any]) -> str:
        testing.sign_fail(order=order, seen_version=seen, by=by, at=at, note=given["note"])
        return "Signed as failed. It is back at repair."

    return _end(request, code, ending)


@require_POST
@staff_only
def given_up(request: HttpRequest, code: str) -> HttpResponse:
    """No fix, after a test."""
    seen, at = seen_version(request), now()

    def ending(order: Order, by: Person, given: dict[str, Any]) -> str:
        repair.no_fix(order=order, seen_version=seen, words=given["words"], by=by, at=at)
        return "Signed as no fix. The customer is told; pack it."

    return _end(request, code, ending)


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/test/keep/", keep_rows, name="keep_rows"),
    path("sheet/<code:code>/test/passed/", passed, name="test_passed"),
    path("sheet/<code:code>/test/failed/", failed, name="test_failed"),
    path("sheet/<code:code>/test/no-fix/", given_up, name="test_no_fix"),
]
