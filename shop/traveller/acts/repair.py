"""Posts at 60: the mending."""

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake.lifecycle import LifecycleError
from quotes.diagnosis import Found
from quotes.explained import not_explained
from shop.access import now, order_for_staff, person_of, staff_only
from shop.bench import repair
from shop.traveller.acting import acted, seen_version
from shop.traveller.forms.finding import SecondFaultForm
from shop.traveller.forms.repair import (
    NoFixForm,
    OwnStepForm,
    StepsForm,
)


def _steps_form(request: HttpRequest, order: Any) -> StepsForm:
    return StepsForm(request.POST, steps=[(step.key, step.text) for step in repair.steps_of(order)])


@require_POST
@staff_only
def keep_steps(request: HttpRequest, code: str) -> HttpResponse:
    """The ticks are written as they are made, by script; or by the button."""
    order, at = order_for_staff(code), now()
    form = _steps_form(request, order)

    def deed(given: dict[str, Any]) -> str:
        done = repair.tick_these(order=order, keys=given["steps"], by=person_of(request), at=at)
        return f"Kept: {done} {'step is' if done == 1 else 'steps are'} done."

    if request.headers.get("X-Requested-With") != "benchpost":
        return acted(request, order, form, deed, name="steps", at="here")
    try:
        said = deed(form.cleaned_data) if form.is_valid() else ""
    except LifecycleError as moved:
        return JsonResponse({"error": moved.sentence}, status=409)
    return JsonResponse({"kept": True} if said else {"error": "Not kept."}, status=200 if said else 422)


@require_POST
@staff_only
def own_step(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        repair.add_step(order=order, text=given["text"], key=given["key"], by=person_of(request), at=at)
        return "Written on the sheet."

    return acted(request, order, OwnStepForm(request.POST), deed, name="own_step", at="here")


@require_POST
@staff_only
def second_fault(request: HttpRequest, code: str) -> HttpResponse:
    """Back to 40 with a second finding; what was agreed stands."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        key = given.pop("key")
        repair.second_fault(
            order=order,
            seen_version=seen_version(request),
            found=Found(mendable="yes", **given),
            key=key,
            by=person_of(request),
            at=at,
        )
        return "Written. Now the quote for the second fault; the first agreement stands."

    form = SecondFaultForm(request.POST, symptoms=not_explained(order))
    return acted(request, order, form, deed, name="second", at="here")


@require_POST
@staff_only
def no_fix(request: HttpRequest, code: str) -> HttpResponse:
    """Give up honestly."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        repair.no_fix(
            order=order,
            seen_version=seen_version(request),
            words=given["words"],
            by=person_of(request),
            at=at,
        )
        return "Signed as no fix. The customer is told; pack it."

    return acted(request, order, NoFixForm(request.POST), deed, name="no_fix", at="here")


@require_POST
@staff_only
def done(request: HttpRequest, code: str) -> HttpResponse:
    """Sign 60: the ticks first, so that none is lost when the signature is refused."""
    order, at, by = order_for_staff(code), now(), person_of(request)

    def deed(given: dict[str, Any]) -> str:
        repair.tick_these(order=order, keys=given["steps"], by=by, at=at)
        # What was typed before anybody was told answers nothing: it is a reason only once the undone was said.
        repair.finish(
            order=order,
            seen_version=seen_version(request),
            by=by,
            at=at,
            note=given["note"],
            anyway=given["note"] if given["told"] else "",
        )
        return "Signed. Now the test."

    return acted(request, order, _steps_form(request, order), deed, name="steps", at="here")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/repair/steps/", keep_steps, name="keep_steps"),
    path("sheet/<code:code>/repair/step/", own_step, name="own_step"),
    path("sheet/<code:code>/repair/second/", second_fault, name="second_fault"),
    path("sheet/<code:code>/repair/no-fix/", no_fix, name="no_fix"),
    path("sheet/<code:code>/repair/done/", done, name="repair_done"),
]
