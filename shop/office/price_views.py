"""Settings of the owner: rates with their versions."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from intake.house import forget_house, house
from intake.refusals import Refused
from quotes import price_book
from quotes.models import Rates
from shop.access import now, owner_only, person_of
from shop.office import looking
from shop.office.editing import Page, edit, show
from shop.office.forms_rates import RatesForm

require_form = require_http_methods(["GET", "HEAD", "POST"])


@require_form
@owner_only
def rates(request: HttpRequest) -> HttpResponse:
    """Looking saves nothing and says what would be dearer or cheaper; what is saved then is what was looked at."""
    row = Rates.current()
    form = RatesForm(request.POST or None, rates=row, currency=house().currency)
    page = Page(
        "Rates", "What work, parts and post cost from now on. Quotes that were sent keep theirs.",
        reverse("shop:settings"), template="shop/settings/rates.html",
        more={"profiles": looking.profile_pages(row)},
    )  # fmt: skip
    if request.method == "POST" and form.is_valid() and looking.wants_to_look(request, form.changes()):
        return show(request, page, form, **looking.looked_at(form.changes()))
    return edit(request, page, form, lambda changes: _save(request, form, changes))


def _save(request: HttpRequest, form: RatesForm, changes: dict[str, object]) -> Rates | None:
    new = price_book.change_rates(
        changes=changes, seen_version=form.cleaned_data["seen"], by=person_of(request), at=now()
    )
    forget_house()
    return new


@require_safe
@owner_only
def rates_versions(request: HttpRequest) -> HttpResponse:
    return render(request, "shop/settings/rates_versions.html", {"versions": looking.versions()})


@require_form
@owner_only
def rates_version(request: HttpRequest, version: int) -> HttpResponse:
    """An old version beside the one in force; a post uses its values again, as a new version."""
    old, error = get_object_or_404(Rates.objects.select_related("changed_by"), version=version), ""
    if request.method == "POST":
        seen = request.POST.get("seen", "")
        try:
            price_book.use_again(
                version=version, seen_version=int(seen) if seen.isdecimal() and len(seen) < 10 else 0,
                by=person_of(request), at=now(),
            )  # fmt: skip
        except Refused as refusal:
            error = refusal.sentence
        else:
            forget_house()
            messages.success(request, f"The values of version {version} hold again.")
            return HttpResponseRedirect(reverse("shop:rates"), status=303)
    context = {**looking.version_page(old), "error": error}
    return render(request, "shop/settings/rates_version.html", context, status=422 if error else 200)
