"""The card of sums: one form, asked by GET, so that an address is a sum and can be printed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from quotes.models import ListWord
from shop.access import staff_only
from shop.bench import injection, wire_maths
from shop.bench_card import card
from shop.bench_card.forms import CardForm


@require_safe
@staff_only
def wire(request: HttpRequest) -> HttpResponse:
    """Nothing is written. What makes no sense stays typed, with a sentence beside it (422)."""
    asked = any(value.strip() for value in request.GET.values())
    form = CardForm(request.GET if asked else None)
    found, word = None, None
    if asked and form.is_valid():
        try:
            found = card.wire_of(form.cleaned_data)
        except wire_maths.WireError as fault:
            form.add_error("size" if fault.field == "diameter" else fault.field, str(fault))
        word = card.guarded(form.cleaned_data)
    context = {
        "form": form,
        "wire": found,
        "figures": card.figures_of(found) if found else [],
        "word": word,
        "care": injection.CARE,
        "never_a_fuse": wire_maths.NEVER_A_FUSE,
        "table": card.table(),
        "rails": ListWord.objects.filter(kind="point", nominal_volts__isnull=False).values_list(
            "name", flat=True
        )[:200],
    }
    return render(request, "shop/bench_card/wire.html", context, status=422 if form.errors else 200)
