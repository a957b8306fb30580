"""Settings of the owner: the price book with its remedies, surcharges and trade tiers, and what each sells for now."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from intake.house import house
from quotes import price_rows
from quotes.models import Remedy, Surcharge, TradeTier
from shop.access import now, owner_only, person_of
from shop.books import renaming
from shop.office import price_pages
from shop.office.editing import Page, edit
from shop.office.forms_prices import RemedyForm, SurchargeForm, TierForm

require_form = require_http_methods(["GET", "HEAD", "POST"])
KEPT = "Quotes that were sent keep what they said."


@require_safe
@owner_only
def price_book(request: HttpRequest) -> HttpResponse:
    return render(request, "shop/settings/price_book.html", price_pages.overview())


@require_safe
@owner_only
def price_changes(request: HttpRequest) -> HttpResponse:
    """What was changed in the price book, by whom, old and new."""
    context = price_pages.changes(before=request.GET.get("before", ""))
    return render(request, "shop/settings/price_book_changes.html", context)


@require_safe
@owner_only
def part_prices(request: HttpRequest) -> HttpResponse:
    """What every part sells for now, and why."""
    context = price_pages.parts(after=request.GET.get("after", ""))
    return render(request, "shop/settings/price_book_parts.html", context)


@require_safe
@owner_only
def remedies(request: HttpRequest) -> HttpResponse:
    return render(request, "shop/settings/remedies.html", {"remedies": price_pages.remedies()})


@require_form
@owner_only
def remedy(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Remedy, pk=pk) if pk is not None else None
    form = RemedyForm(request.POST or None, remedy=row, currency=house().currency)
    page = Page(
        row.name if row else "New remedy", KEPT, reverse("shop:remedies"), saved="Saved.",
        template="shop/settings/remedy.html", more={"sells": price_pages.remedy_price(row) if row else None},
    )  # fmt: skip
    return edit(
        request, page, form,
        lambda given: renaming.save_remedy(remedy=row, changes=given, by=person_of(request), at=now()),
    )  # fmt: skip


@require_safe
@owner_only
def surcharges(request: HttpRequest) -> HttpResponse:
    rows = Surcharge.objects.order_by("-active", "name")
    return render(request, "shop/settings/surcharges.html", {"surcharges": rows})


@require_form
@owner_only
def surcharge(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Surcharge, pk=pk) if pk is not None else None
    form = SurchargeForm(request.POST or None, surcharge=row, currency=house().currency)
    page = Page(row.name if row else "New surcharge", KEPT, reverse("shop:surcharges"), saved="Saved.")
    return edit(
        request, page, form,
        lambda given: price_rows.save_surcharge(surcharge=row, changes=given, by=person_of(request), at=now()),
    )  # fmt: skip


@require_safe
@owner_only
def tiers(request: HttpRequest) -> HttpResponse:
    return render(request, "shop/settings/tiers.html", {"tiers": price_pages.tiers()})


@require_form
@owner_only
def tier(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(TradeTier, pk=pk) if pk is not None else None
    form = TierForm(request.POST or None, tier=row)
    page = Page(row.name if row else "New trade tier", KEPT, reverse("shop:tiers"), saved="Saved.")
    return edit(
        request, page, form,
        lambda _: price_rows.save_tier(tier=row, changes=form.changed(), by=person_of(request), at=now()),
    )  # fmt: skip
