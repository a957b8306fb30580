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
from shop.bench import repair, second_eyes, soaks, testing
from shop.models import TestRun
from shop.traveller.acting import MOVED_ON, acted, seen_version
from shop.traveller.bodies.test import blank_words, counted_words, open_run, rows_of, said_of
from shop.traveller.forms.none import NoForm
from shop.traveller.forms.test import Marked, SheetForm, was_of

Ending = Callable[[Order, Person, dict[str, Any]], str]


def _form(request: HttpRequest, run: TestRun | None) -> SheetForm:
    return SheetForm(request.POST, rows=rows_of(run))


def _write(form: SheetForm, run: TestRun | None, by: Person) -> TestRun:
    """Write every touched row that can be written; then raise the first that could not."""
    run, refused = _write_each(form, run, by, measured=True)
    if refused:
        raise next(iter(refused.values()))
    return run


def _write_each(
    form: SheetForm, run: TestRun | None, by: Person, *, measured: bool
) -> tuple[TestRun, dict[int, Refused]]:
    """Write every touched row that can be written. Returns the others by their number, with what bars each.

    `measured` says that a typed value is whole; what a script keeps while a hand types may be half of one.
    """
    if run is None:
        raise SheetMoved(MOVED_ON)
    refused: dict[int, Refused] = {}
    for marked in form.touched():
        try:
            _write_row(marked, by, measured)
        except Refused as refusal:
            refused[marked.row.number] = refusal
    return run, refused


def _write_row(marked: Marked, by: Person, measured: bool) -> None:
    row, reading, at = marked.row, marked.reading, now()
    if row.mode and not measured:
        reading = row.reading
    if row.before_id and reading and reading != row.reading:
        row = testing.measure_again(row=row, typed=reading, by=by, at=at)
        reading = row.reading
    testing.mark(row=row, result=marked.result, reason=marked.reason, reading=reading, by=by, at=at)


def _end(request: HttpRequest, code: str, ending: Ending, *, at: str = "here") -> HttpResponse:
    order, by = order_for_staff(code), person_of(request)
    run = open_run(order)
    form = _form(request, run)

    def deed(given: dict[str, Any]) -> str:
        _write(form, run, by)
        return ending(order, by, given)

    return acted(request, order, form, deed, name="test", at=at)


@require_POST
@staff_only
def keep_rows(request: HttpRequest, code: str) -> HttpResponse:
    """Rows are written as they are ticked, by script; or by the button. Nothing is signed."""
    order, by = order_for_staff(code), person_of(request)
    run = open_run(order)
    if request.headers.get("X-Requested-With") != "benchpost":
        return _end(request, code, lambda order, by, given: blank_words(run), at="test-sheet")
    form = _form(request, run)
    wrong = not form.is_valid()
    try:
        run, refused = _write_each(form, run, by, measured=False)
    except SheetMoved as moved:
        return JsonResponse({"error": moved.sentence}, status=409)
    rows = {str(number): refusal.sentence for number, refusal in refused.items()}
    answer = {"kept": not (rows or wrong), "rows": rows, "counted": counted_words(rows_of(run))}
    if rows or wrong:
        answer["error"] = _not_kept(refused)
    return JsonResponse(answer, status=200 if answer["kept"] else 422)


def _not_kept(refused: dict[int, Refused]) -> str:
    """What bars the first row that was not written; the others were."""
    if not refused:
        return "One row is not kept: pick one of its results. The other rows are kept."
    number, refusal = next(iter(refused.items()))
    named = f"Row {number}"
    said = refusal.sentence if refusal.sentence.startswith(named) else f"{named}: {refusal.sentence}"
    return (
        f"{said} {'The other rows are kept.' if len(refused) == 1 else f'{len(refused)} rows are not kept.'}"
    )


@require_POST
@staff_only
def keep_reading(request: HttpRequest, code: str) -> HttpResponse:
    """One value, typed to its end, by script: written, judged, and said as it was understood."""
    order, number = order_for_staff(code), request.POST.get("row", "")
    rows = {str(row.number): row for row in rows_of(open_run(order)) if row.mode}
    if number not in rows:
        return JsonResponse({"error": MOVED_ON}, status=409)
    row = rows[number]
    try:
        _write_row(
            Marked(row, row.result, request.POST.get("typed", ""), row.reason), person_of(request), True
        )
    except Refused as refusal:
        return JsonResponse({"error": refusal.sentence}, status=422)
    row.refresh_from_db()
    return JsonResponse(
        {"said": said_of(row), "result": row.result, "reading": row.reading, "was": was_of(row)}
    )


@require_POST
@staff_only
def soak(request: HttpRequest, code: str) -> HttpResponse:
    """Start or stop the soak of a row: `soak` is "start-5" or "stop-5"."""
    deed, _, number = request.POST.get("soak", "").partition("-")

    def ending(order: Order, by: Person, given: dict[str, Any]) -> str:
        rows = {str(row.number): row for row in rows_of(open_run(order))}
        if number not in rows or deed not in ("start", "stop"):
            raise Refused("Pick the row whose soak it is.")
        (soaks.start if deed == "start" else soaks.stop)(row=rows[number], by=by, at=now())
        return f"The soak of row {number} {'runs' if deed == 'start' else 'is stopped'}."

    return _end(request, code, ending, at="test-sheet")


@require_POST
@staff_only
def without_code(request: HttpRequest, code: str) -> HttpResponse:
    """One press for every blank row that needs the customer's code."""

    def ending(order: Order, by: Person, given: dict[str, Any]) -> str:
        run = open_run(order)
        assert run is not None  # noqa: S101 -- for the type checker; the rows were written a moment ago
        count = testing.mark_without_code(run=run, by=by, at=now())
        return f"{count} {'row' if count == 1 else 'rows'} marked: cannot test, without the customer's code."

    return _end(request, code, ending, at="test-sheet")


@require_POST
@staff_only
def second_look(request: HttpRequest, code: str) -> HttpResponse:
    """The second pair of eyes, on its own sign-in."""
    order, by = order_for_staff(code), person_of(request)

    def deed(given: dict[str, Any]) -> str:
        run = open_run(order)
        if run is None:
            raise SheetMoved(MOVED_ON)
        second_eyes.confirm(run=run, by=by, at=now())
        return "Looked over by a second pair of eyes. The one who tested it signs."

    return acted(request, order, NoForm(request.POST), deed, name="second_look", at="second-eyes")


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
    path("sheet/<code:code>/test/reading/", keep_reading, name="keep_test_reading"),
    path("sheet/<code:code>/test/soak/", soak, name="test_soak"),
    path("sheet/<code:code>/test/without-code/", without_code, name="test_without_code"),
    path("sheet/<code:code>/test/second/", second_look, name="test_second_look"),
    path("sheet/<code:code>/test/passed/", passed, name="test_passed"),
    path("sheet/<code:code>/test/failed/", failed, name="test_failed"),
    path("sheet/<code:code>/test/no-fix/", given_up, name="test_no_fix"),
]
