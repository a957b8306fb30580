"""Settings of the owner: the letterhead and its texts. Each saving is a new version."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from intake.house import forget_house
from intake.house_rules import change_letterhead
from intake.models import Letterhead, Person
from quotes.models import Rates, Remedy
from shop.access import now, owner_only, person_of
from shop.guard import forget_zone
from shop.office.editing import Page, edit
from shop.office.forms_house import LetterheadForm, LettersForm, TextsForm
from shop.office.stuck import stuck_letters

require_form = require_http_methods(["GET", "HEAD", "POST"])


@require_safe
@owner_only
def settings(request: HttpRequest) -> HttpResponse:
    """Where everything is that the owner decides."""
    context = {
        "head": Letterhead.current(),
        "rates": Rates.current(),
        "remedies": Remedy.objects.filter(active=True).count(),
        "people": Person.objects.filter(is_active=True).count(),
        "stuck": stuck_letters(),
    }
    return render(request, "shop/settings/settings.html", context)


@require_form
@owner_only
def letterhead(request: HttpRequest) -> HttpResponse:
    page = Page("Letterhead", "Who you are on every page, paper and letter.", reverse("shop:settings"))
    form = LetterheadForm(request.POST or None, head=Letterhead.current())
    return edit(request, page, form, lambda changes: _save(request, form, changes))


@require_form
@owner_only
def texts(request: HttpRequest) -> HttpResponse:
    page = Page(
        "Texts", "What customers read before they send a device. Plain words.", reverse("shop:settings")
    )
    form = TextsForm(request.POST or None, head=Letterhead.current())
    return edit(request, page, form, lambda changes: _save(request, form, changes))


@require_form
@owner_only
def letters_policy(request: HttpRequest) -> HttpResponse:
    page = Page(
        "Letters that may have arrived", "Holds for letters written from now on.", reverse("shop:settings")
    )
    form = LettersForm(request.POST or None, head=Letterhead.current())
    return edit(request, page, form, lambda changes: _save(request, form, changes))


def _save(request: HttpRequest, form: Any, changes: dict[str, Any]) -> Letterhead | None:
    new = change_letterhead(
        changes=changes, seen_version=form.cleaned_data["seen"], by=person_of(request), at=now()
    )
    forget_house()
    forget_zone()
    return new
