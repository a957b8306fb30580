"""Settings of the owner: lists of prices out to a spreadsheet, and in again after a look."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_http_methods, require_safe

from intake.refusals import Refused
from quotes.price_lists import taking_in
from quotes.price_lists.columns import LISTS, PriceList
from quotes.price_lists.keeping import keep_file
from shop.access import now, owner_only, person_of
from shop.office.forms_lists import ListForm
from shop.office.price_pages import changes_said

TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def _kind(key: str) -> PriceList:
    if key not in LISTS:
        raise Http404("There is no such list.")
    return LISTS[key]


@require_safe
@owner_only
def out(request: HttpRequest, kind: str, ending: str) -> HttpResponse:
    """All rows of a list as a file."""
    chosen = _kind(kind)
    if ending not in TYPES:
        raise Http404("Lists go out as CSV or XLSX.")
    answer = HttpResponse(taking_in.list_out(chosen, f".{ending}"), content_type=TYPES[ending])
    answer.headers["Content-Disposition"] = content_disposition_header(True, f"{chosen.key}.{ending}") or ""
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@owner_only
def come_in(request: HttpRequest, kind: str) -> HttpResponse:
    """A file is looked at first; the second press takes in what was looked at."""
    chosen = _kind(kind)
    if request.method != "POST":
        return _page(request, chosen, ListForm())
    form = ListForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            return _answer(request, chosen, form)
        except Refused as refusal:
            form.add_error("file", refusal.sentence)
    return _page(request, chosen, form, status=422)


def _answer(request: HttpRequest, kind: PriceList, form: ListForm) -> HttpResponse:
    digest, seen = form.cleaned_data["digest"], form.cleaned_data["seen"]
    if form.cleaned_data["file"] is not None:
        digest, seen = keep_file(form.cleaned_data["file"].read()), ""
    if not seen:
        look = taking_in.look(kind=kind, digest=digest)
        status = 422 if look.diff.faults else 200
        return _page(request, kind, ListForm(), status=status, look=look, changes=changes_said(look))
    taken = taking_in.take_in(kind=kind, digest=digest, seen=seen, by=person_of(request), at=now())
    messages.success(
        request,
        "Nothing is different. Nothing was taken in."
        if taken is None
        else f"Taken in: {taken} {'row' if taken == 1 else 'rows'}. Quotes that were sent keep their prices.",
    )
    return HttpResponseRedirect(reverse("shop:price_book"), status=303)


def _page(
    request: HttpRequest, kind: PriceList, form: ListForm, *, status: int = 200, **more: Any
) -> HttpResponse:
    context = {"kind": kind, "form": form, **more}
    return render(request, "shop/settings/price_book_in.html", context, status=status)
