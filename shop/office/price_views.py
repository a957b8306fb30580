"""Settings of the owner: rates, remedies, test lists."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from intake.house import house
from intake.models import Device
from quotes import price_book
from quotes.models import Rates, Remedy
from shop.access import now, owner_only, person_of
from shop.bench import test_lists
from shop.office.editing import Page, edit, show
from shop.office.forms_prices import RemedyForm, TestListForm
from shop.office.forms_rates import RatesForm

require_form = require_http_methods(["GET", "HEAD", "POST"])


@require_form
@owner_only
def rates(request: HttpRequest) -> HttpResponse:
    """Pressing the preview saves nothing and says what a usual quote would come to."""
    form = RatesForm(request.POST or None, rates=Rates.current())
    page = Page(
        "Rates", "What work, parts and post cost from now on. Quotes that were sent keep theirs.",
        reverse("shop:settings"), template="shop/settings/rates.html",
    )  # fmt: skip
    if request.method == "POST" and "preview" in request.POST and form.is_valid():
        before, after = price_book.sample_totals(form.changes(), currency=house().currency)
        return show(request, page, form, preview=True, before=before, after=after)
    return edit(
        request, page, form,
        lambda changes: price_book.change_rates(
            changes=changes, seen_version=form.cleaned_data["seen"], by=person_of(request), at=now()
        ),
    )  # fmt: skip


@require_safe
@owner_only
def remedies(request: HttpRequest) -> HttpResponse:
    rows = Remedy.objects.order_by("-active", "name")
    return render(request, "shop/settings/remedies.html", {"remedies": rows})


@require_form
@owner_only
def remedy(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Remedy, pk=pk) if pk is not None else None
    form = RemedyForm(request.POST or None, remedy=row)
    page = Page(
        row.name if row else "New remedy", "Quotes that were sent keep what they said.",
        reverse("shop:remedies"), saved="Saved.",
    )  # fmt: skip
    return edit(
        request, page, form,
        lambda given: price_book.save_remedy(remedy=row, changes=given, by=person_of(request), at=now()),
    )  # fmt: skip


@require_safe
@owner_only
def test_lists_page(request: HttpRequest) -> HttpResponse:
    kinds = [(kind, name, *test_lists.newest(kind)) for kind, name in Device.Kind.choices]
    return render(request, "shop/settings/test_lists.html", {"kinds": kinds})


@require_form
@owner_only
def test_list(request: HttpRequest, kind: str) -> HttpResponse:
    if kind not in Device.Kind.values:
        raise Http404("No such kind of device.")
    version, rows, soak = test_lists.newest(kind)
    form = TestListForm(request.POST or None, version=version, rows=rows, soak=soak)
    page = Page(
        f"Test list: {Device.Kind(kind).label.lower()}",
        "What must pass before a device goes home. The customer's own symptom is always tested last.",
        reverse("shop:test_lists"), saved="Saved. Tests that are signed keep their list.",
        template="shop/settings/test_list.html",
    )  # fmt: skip
    return edit(
        request, page, form,
        lambda given: test_lists.change_test_list(
            kind=kind, rows=form.rows(), soak_minutes=given["soak_minutes"],
            seen_version=form.cleaned_data["seen"], by=person_of(request), at=now(),
        ),
    )  # fmt: skip
