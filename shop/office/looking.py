"""Look first, then save: what is saved after looking is what was looked at."""

import hashlib
from typing import Any

from django.http import HttpRequest

from intake.history import canonical
from intake.house import house
from quotes import price_preview
from quotes.models import Rates
from quotes.price_book import changed_fields, rates_with, values_of
from shop.office.forms_rates import RatesForm
from shop.office.price_words import rule_table, said
from shop.office.tax_choice import profiles_to_show

ROW_LABELS = {
    "tax_percents": "Tax by kind of line",
    "tax_rules": "Tax rules",
    "markup_bands": "From cost to price",
}


def digest_of(changes: dict[str, Any]) -> str:
    return hashlib.sha256(canonical(changes).encode()).hexdigest()


def wants_to_look(request: HttpRequest, changes: dict[str, Any]) -> bool:
    """The button for looking was pressed, or something was typed after looking."""
    if "preview" in request.POST:
        return True
    return "looked" in request.POST and request.POST["looked"] != digest_of(changes)


def looked_at(changes: dict[str, Any]) -> dict[str, Any]:
    """What the page needs to show the changes; the way to save them only where something is different."""
    preview = price_preview.if_rates(
        changes, now=Rates.current(), then=rates_with(changes), currency=house().currency
    )
    if preview is None:
        return {"looked_same": True}
    return {"preview": preview, "looked": digest_of(changes)}


def profile_pages(rates: Rates) -> list[tuple[str, dict[str, Any]]]:
    """The tax profiles as tables in words."""
    return [
        (key, {**vars(profile), "table": rule_table(profile)})
        for key, profile in profiles_to_show(rates.tax_rules)
    ]


def versions() -> list[dict[str, Any]]:
    """All versions of the rates, newest first, each with what is different from the one before."""
    rows = list(Rates.objects.select_related("changed_by").order_by("version"))
    found: list[dict[str, Any]] = []
    for before, row in zip([None, *rows], rows, strict=False):
        fields = changed_fields(row, values_of(before)) if before is not None else []
        found.append({"rates": row, "different": [label_of(name) for name in fields]})
    return found[::-1]


def version_page(old: Rates) -> dict[str, Any]:
    """An old version beside the one in force: what is different, and what using it again would move."""
    now, values = Rates.current(), values_of(old)
    different = [
        {"label": label_of(name), "now": said(getattr(now, name)), "then": said(values[name])}
        for name in changed_fields(now, values)
    ]
    preview = price_preview.if_rates(values, now=now, then=rates_with(values), currency=house().currency)
    return {"rates": old, "now": now, "next": now.version + 1, "different": different, "preview": preview}


def label_of(name: str) -> str:
    """A field of the rates as the form calls it."""
    field = RatesForm.base_fields.get(name)
    return ROW_LABELS.get(name) or str(field.label if field is not None else name.replace("_", " "))
