"""The lots: all of them, one with where its parts went, its label, and stopping it."""

from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST, require_safe

from intake.models import Letterhead
from intake.refusals import Refused
from intake.wording import day_year
from quotes import lots
from quotes.models import Lot, Part
from shop.access import now, person_of, staff_only
from shop.papers.lot_label import LotLabel, lot_label_pdf
from shop.stockroom import lot_rows
from shop.stockroom import lots as stock_lots
from shop.stockroom.forms import OpenLotForm, StopLotForm

LONGEST_SEARCH = 100


@require_safe
@staff_only
def all_lots(request: HttpRequest) -> HttpResponse:
    """A lot's number that is typed or scanned whole leads straight to it."""
    words = request.GET.get("q", "").replace("\x00", "").strip()[:LONGEST_SEARCH]
    if words and (exact := lots.lot_meant(words)):
        return HttpResponseRedirect(reverse("shop:lot", args=[exact.pk]))
    typed = request.GET.get("before", "")
    before = int(typed) if typed.isdecimal() and len(typed) < 19 else 0
    stopped = request.GET.get("stopped") == "1"
    rows, older = lot_rows.page(words=words, stopped=stopped, before=before)
    context = {"rows": rows, "older": older, "words": words, "stopped": stopped}
    return render(request, "shop/stock_lots.html", context)


@require_safe
@staff_only
def lot(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, _lot(pk))


def _lot(pk: int) -> Lot:
    return get_object_or_404(Lot.objects.select_related("part"), pk=pk)


def _page(
    request: HttpRequest, row: Lot, *, forms: dict[str, Form] | None = None, status: int = 200
) -> HttpResponse:
    given = forms or {}
    context = {
        "row": lot_rows.rows([row])[0],
        "lot": row,
        "part": row.part,
        "holders": lot_rows.holders(row),
        "comebacks": list(row.comebacks.select_related("order").order_by("-at")),
        "moves": list(row.moves.select_related("order").order_by("-at", "-pk")[:100]),
        "errors_present": any(form.errors for form in given.values()),
        "stop_form": given.get("stop") or StopLotForm(),
        "open_form": given.get("open") or OpenLotForm(),
    }
    return render(request, "shop/stock_lot.html", context, status=status)


def _done(
    request: HttpRequest, row: Lot, form: Form, name: str, deed: Callable[[dict[str, Any]], str]
) -> HttpResponse:
    if form.is_valid():
        try:
            said = deed(form.cleaned_data)
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        else:
            messages.success(request, said)
            return HttpResponseRedirect(reverse("shop:lot", args=[row.pk]), status=303)
    return _page(request, _lot(row.pk), forms={name: form}, status=422)


@require_POST
@staff_only
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    """No more of it is fitted; whoever had some put aside is told here."""
    row, by, at = _lot(pk), person_of(request), now()

    def deed(given: dict[str, Any]) -> str:
        short = stock_lots.stop_lot(lot=row, **given, by=by, at=at)
        codes = ", ".join(order.code for order in short)
        return f"Lot {row.number} is stopped. Take its bag out of the bin." + (
            f" These orders wait for the part now: {codes}." if codes else ""
        )

    return _done(request, row, StopLotForm(request.POST), "stop", deed)


@require_POST
@staff_only
def open_again(request: HttpRequest, pk: int) -> HttpResponse:
    row, by, at = _lot(pk), person_of(request), now()

    def deed(given: dict[str, Any]) -> str:
        lots.open_again(lot=row, why=given["why"], by=by, at=at)
        return f"Lot {row.number} may be fitted again."

    return _done(request, row, OpenLotForm(request.POST), "open", deed)


@require_safe
@staff_only
def label(request: HttpRequest, pk: int) -> HttpResponse:
    """The label for the bag, drawn fresh; it is no paper of record."""
    row, letterhead = _lot(pk), Letterhead.current()
    part = row.part
    used = part.condition != Part.Condition.NEW
    drawn = lot_label_pdf(
        LotLabel(
            number=row.number,
            part=part.number,
            name=part.name,
            bin=part.bin,
            condition=part.get_condition_display() if used else "",
            supplier=row.supplier,
            marks=row.marks,
            came=day_year(row.came_at.astimezone(ZoneInfo(letterhead.zone))),
        )
    )
    answer = HttpResponse(drawn, content_type="application/pdf")
    name = f"{row.number}-label.pdf"
    answer.headers["Content-Disposition"] = content_disposition_header(False, name) or "inline"
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Cache-Control"] = "private, no-store"
    return answer
