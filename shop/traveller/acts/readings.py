"""One typed line becomes a reading: first said back as understood, then written once the person agrees to the sentence.

By script the answer is JSON: {"sentence", "verdict", "out"} for a line understood, {"error", "field"} for one that is not,
and beside them {"written": true, "html": the fresh table, "stays": how the board stands} once it is on the sheet.
"""

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import get_object_or_404
from django.template.loader import render_to_string
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from intake.lifecycle import LifecycleError
from intake.models import Order
from intake.refusals import Refused
from quotes import diagnosis
from quotes.diagnosis import Measured
from quotes.models import Reading
from shop.access import now, order_for_staff, person_of, staff_only
from shop.traveller.acting import acted
from shop.traveller.bodies.readings import QUIET, pairs_of, readings_of
from shop.traveller.forms.diagnosis import ReadingForm
from shop.traveller.measuring import measured_from
from shop.traveller.page import render_sheet
from shop.traveller.sticky import text_of


class SaidBack(Exception):
    """The person has not agreed to this sentence yet. Nothing was written."""

    def __init__(self, measured: Measured, sentence: str) -> None:
        super().__init__(sentence)
        self.measured, self.sentence = measured, sentence


@require_safe
@staff_only
def understood(request: HttpRequest, code: str) -> HttpResponse:
    """How a line would be understood. Writes nothing."""
    order = order_for_staff(code)
    form = ReadingForm({**request.GET.dict(), "key": "none"})
    if not form.is_valid():
        return JsonResponse(_wrong(form))
    try:
        measured, sentence = measured_from(form.cleaned_data, order=order)
    except Refused as refusal:
        return JsonResponse({"error": refusal.sentence, "field": refusal.field or ""})
    return JsonResponse(_heard(measured, sentence))


@require_POST
@staff_only
def take_reading(request: HttpRequest, code: str) -> HttpResponse:
    """A reading while the fault is looked for; it may replace one like it, never one after the repair."""
    return _taken(request, code, phase="before")


@require_POST
@staff_only
def reading_after(request: HttpRequest, code: str) -> HttpResponse:
    """A reading after the repair; it may replace one after it, never one before."""
    return _taken(request, code, phase="after")


def _taken(request: HttpRequest, code: str, *, phase: str) -> HttpResponse:
    order, form = order_for_staff(code), ReadingForm(request.POST)
    if request.headers.get("X-Requested-With") == "benchpost":
        return _by_script(request, order, form, phase)

    def deed(given: dict[str, Any]) -> str:
        return _write(request, order, given, phase)[1]

    try:
        return acted(request, order, form, deed, name="reading", at="readings")
    except SaidBack as said:
        return render_sheet(request, order, forms={"reading": _asking(request.POST, said.sentence)})


def _write(request: HttpRequest, order: Order, given: dict[str, Any], phase: str) -> tuple[Measured, str]:
    """Raises SaidBack unless the sentence was agreed to; a key that is written already is agreed to."""
    measured, sentence = measured_from(given, order=order, phase=phase)
    if given["echoed"] != sentence and not Reading.objects.filter(key=given["key"]).exists():
        raise SaidBack(measured, sentence)
    pk = given.get("instead_of")
    instead = get_object_or_404(order.readings, pk=pk, phase=phase) if pk else None
    diagnosis.take_reading(
        order=order, measured=measured, key=given["key"], by=person_of(request), at=now(), instead_of=instead
    )
    return measured, sentence


def _asking(posted: QueryDict, sentence: str) -> ReadingForm:
    """The same line again with the sentence beside it: one more press writes it."""
    form = ReadingForm({**posted.dict(), "echoed": sentence}, focused=True)
    form.full_clean()
    form.sentence = sentence  # type: ignore[attr-defined]  # for the template, beside the form's own fields
    return form


def _by_script(request: HttpRequest, order: Order, form: ReadingForm, phase: str) -> HttpResponse:
    if not form.is_valid():
        return JsonResponse(_wrong(form))
    try:
        measured, sentence = _write(request, order, form.cleaned_data, phase)
    except SaidBack as said:
        return JsonResponse(_heard(said.measured, said.sentence))
    except (Refused, LifecycleError) as refusal:
        return JsonResponse({"error": refusal.sentence, "field": getattr(refusal, "field", None) or ""})
    stays = {name: text_of(getattr(measured, name)) for name in ("state", "supply_volts", "supply_amps")}
    table = _table(request, order, phase)
    return JsonResponse({**_heard(measured, sentence), "written": True, "stays": stays, "html": table})


def _table(request: HttpRequest, order: Order, phase: str) -> str:
    rows = pairs_of(order) if phase == "after" else readings_of(order)
    name = "readings_pairs" if phase == "after" else "readings_so_far"
    return render_to_string(f"shop/stations/{name}.html", {"order": order, **rows}, request)


def _heard(measured: Measured, sentence: str) -> dict[str, Any]:
    return {"sentence": sentence, "verdict": measured.verdict, "out": measured.verdict not in QUIET}


def _wrong(form: ReadingForm) -> dict[str, str]:
    field, errors = next(iter(form.errors.items()))
    return {"error": str(errors[0]), "field": field}


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/reading/", take_reading, name="take_reading"),
    path("sheet/<code:code>/reading/understood/", understood, name="understood"),
    path("sheet/<code:code>/repair/reading/", reading_after, name="reading_after"),
]
