"""What a page of the request shows: the sheet so far, the open question, the way back in."""

from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.urls import reverse

from intake.forms import steps
from intake.forms.fields import StepForm
from intake.forms.steps import Step
from intake.models import Draft
from intake.views.visit import TOKEN_FIELD, TRAP_FIELD, Visit

Rows = list[dict[str, Any]]


def step_page(visit: Visit, page: Step, form: StepForm, status: int = 200) -> HttpResponse:
    """One step as `templates/intake/<slug>.html`, which extends intake/step.html."""
    forms = steps.kept_forms(visit.draft, visit.head)
    is_check = page is steps.STEPS[-1]
    context = {
        "page": page,
        "form": form,
        "head": visit.head,
        "steps": sheet_so_far(page, {} if is_check else forms, only=is_check),
        "page_no": page.number,
        "page_count": len(steps.STEPS),
        "is_first": page.number == 1,
        "coming_back": bool(visit.request.GET.get("change") or visit.request.POST.get("return")),
        "token": visit.token if visit.draft is not None else "",
        "token_field": TOKEN_FIELD,
        "trap_field": TRAP_FIELD,
        "draft": visit.draft,
        "resume_address": resume_address(visit.draft, visit.token),
    }
    if is_check:
        context |= {"answers": all_answers(forms), "doubts": doubts(forms)}
    if page.slug == "photos":
        context["photos"] = list(visit.draft.photos.all()) if visit.draft is not None else []
    return visit.page(f"intake/{page.slug}.html", context, status)


def sheet_so_far(here: Step, forms: dict[str, StepForm], *, only: bool = False) -> Rows:
    """The lines of the sheet for frame/request.html."""
    rows = []
    for step in steps.STEPS:
        state = "here" if step is here else "signed" if step.slug in forms else "later"
        if only and state != "here":
            continue
        row = {"number": step.number, "name": step.question if state == "here" else step.name, "state": state}
        if state == "signed":
            row |= {"said": forms[step.slug].short(), "change_url": change_url(step)}
        rows.append(row)
    return rows


def all_answers(forms: dict[str, StepForm]) -> Rows:
    """Every answer by page, for the check before sending; what was left out says so."""
    return [
        {"name": step.name, "change_url": change_url(step), "rows": forms[step.slug].said()}
        for step in steps.QUESTIONS
        if step.slug in forms
    ]


def doubts(forms: dict[str, StepForm]) -> Rows:
    """What looks wrong and is taken all the same."""
    return [
        {"sentence": sentence, "name": step.name, "change_url": change_url(step)}
        for step in steps.QUESTIONS
        if step.slug in forms
        for _, sentence in forms[step.slug].warnings()
    ]


def change_url(step: Step) -> str:
    return reverse("intake:step", args=[step.slug]) + "?change=1#here"


def resume_address(draft: Draft | None, token: str) -> str:
    """The whole link to go on elsewhere; "" before there is anything to go on with."""
    if draft is None or not token:
        return ""
    return f"{settings.SITE_ADDRESS}{reverse('intake:resume', args=[token])}"
