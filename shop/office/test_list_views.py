"""Settings of the owner: the test lists, their rows, their versions."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from shop.access import now, owner_only, person_of
from shop.bench import second_eyes, test_lists
from shop.models import TestSheet
from shop.office.editing import Page, edit, show
from shop.office.forms_tests import TestListForm, moved

KINDS = dict(test_lists.KINDS)


@require_safe
@owner_only
def test_lists_page(request: HttpRequest) -> HttpResponse:
    kinds = [(kind, name, test_lists.newest(kind)) for kind, name in test_lists.KINDS]
    return render(request, "shop/settings/test_lists.html", {"kinds": kinds})


@require_http_methods(["GET", "HEAD", "POST"])
@owner_only
def test_list(request: HttpRequest, kind: str) -> HttpResponse:
    """Moving, adding and looking save nothing; saving is a new version."""
    page, in_force = _page(kind), test_lists.newest(kind)
    press = request.POST.get("move", "")
    form = TestListForm(moved(request.POST, press) if press else request.POST or None, now=in_force)
    if press:
        form.is_valid()
        return show(request, page, form)
    if request.method == "POST" and "look" in request.POST and form.is_valid():
        return show(request, page, form, preview=form.rows(), soak=form.cleaned_data["soak_minutes"])
    return edit(request, page, form, lambda given: _save(request, kind, form, given))


def _save(request: HttpRequest, kind: str, form: TestListForm, given: dict[str, Any]) -> TestSheet | None:
    return test_lists.change_test_list(
        kind=kind, rows=form.rows(), soak_minutes=given["soak_minutes"], second=given["second_eyes"],
        seen_version=form.cleaned_data["seen"], by=person_of(request), at=now(),
    )  # fmt: skip


def _page(kind: str) -> Page:
    if kind not in KINDS:
        raise Http404("No such test list.")
    return Page(
        f"Test list: {KINDS[kind].lower()}",
        "What must pass before a device goes home. The customer's own symptom is always tested last.",
        reverse("shop:test_lists"), saved="Saved. Tests that are signed keep their list.",
        template="shop/settings/test_list.html",
        more={"versions": test_lists.versions(kind), "alone": not second_eyes.can_be_had(), "why_alone": second_eyes.ALONE},
    )  # fmt: skip
