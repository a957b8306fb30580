"""The meters of the bench and by how much each reads too high."""

from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from intake.refusals import Refused
from quotes import good_boards
from quotes.models import Meter, MeterOffset
from quotes.reading_text import UNITS
from quotes.reading_words import amount
from shop.access import now, person_of, staff_only
from shop.knowledge.forms import WAY_NAMES, MeterForm, OffsetForm


@require_http_methods(["GET", "HEAD", "POST"])
@staff_only
def meters(request: HttpRequest) -> HttpResponse:
    """All meters; a post adds one."""
    form = MeterForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            row = good_boards.add_meter(**form.cleaned_data, by=person_of(request), at=now())
        except Refused as refusal:
            form.add_error(refusal.field, refusal.sentence)
        else:
            messages.success(request, f"{row.name} is written down. Now its offsets, if it has any.")
            return HttpResponseRedirect(reverse("shop:meter", args=[row.pk]), status=303)
    rows = [
        {"meter": row, "offsets": _newest(list(row.offsets.all()))}
        for row in Meter.objects.prefetch_related("offsets")
    ]
    status = 422 if form.errors else 200
    return render(request, "shop/knowledge/meters.html", {"form": form, "meters": rows}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@staff_only
def meter(request: HttpRequest, pk: int) -> HttpResponse:
    """One meter; a post writes a new offset."""
    row, form = get_object_or_404(Meter, pk=pk), OffsetForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _write(request, row, form):
        messages.success(request, "Written. It holds from now on.")
        return HttpResponseRedirect(reverse("shop:meter", args=[row.pk]), status=303)
    every = list(row.offsets.select_related("by"))
    context = {
        "meter": row,
        "form": form,
        "offsets": _newest(every),
        "rows": [
            {"row": one, "way": WAY_NAMES.get(one.mode, one.mode), "shown": _shown(one)}
            for one in every[::-1]
        ],
    }
    return render(request, "shop/knowledge/meter.html", context, status=422 if form.errors else 200)


def _write(request: HttpRequest, row: Meter, form: Form) -> bool:
    given: dict[str, Any] = form.cleaned_data
    try:
        found = good_boards.offset_from(given["amount"], given["mode"])
        good_boards.set_offset(
            meter=row, mode=given["mode"], amount=found, why=given["why"], by=person_of(request), at=now()
        )
    except Refused as refusal:
        form.add_error(refusal.field, refusal.sentence)
        return False
    return True


@require_POST
@staff_only
def switch(request: HttpRequest, pk: int) -> HttpResponse:
    """Out of use, or back."""
    row = get_object_or_404(Meter, pk=pk)
    active = request.POST.get("active") == "1"
    good_boards.set_active(meter=row, active=active, by=person_of(request), at=now())
    messages.success(request, f"{row.name} is {'offered again' if active else 'no longer offered'}.")
    return HttpResponseRedirect(reverse("shop:meter", args=[row.pk]), status=303)


def _newest(offsets: list[MeterOffset]) -> list[dict[str, str]]:
    """The offset that holds now in each mode. `offsets` come oldest first."""
    holds = {offset.mode: offset for offset in offsets}
    return [{"way": WAY_NAMES[mode], "shown": _shown(holds[mode])} for mode in UNITS if mode in holds]


def _shown(offset: MeterOffset) -> str:
    return amount(offset.amount, "", "", UNITS.get(offset.mode, ""))
