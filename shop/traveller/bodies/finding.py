"""The finding on the sheet: its form at 30 and the one for a second fault at 60, and what was kept of it."""

import secrets
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order
from intake.stations import Station
from quotes.explained import not_explained
from quotes.faults import known_faults
from shop.bench import kept_text
from shop.seen.panel import panel
from shop.traveller.forms.finding import FindingForm, SecondFaultForm, said_of

CARRIED = ("fault_class", "part", "place", "cause", "words", "idea_words")


def finding_context(order: Order, forms: Mapping[str, Form]) -> dict[str, Any]:
    """The form with what was kept, or what an earlier look found; orders seen before; kinds of fault to choose from."""
    draft = None if "finding" in forms else kept_text.kept(order, Station.DIAGNOSIS)
    seen = panel(order)
    form = forms.get("finding") or _form(order, draft.fields if draft else {}, seen["suggested"])
    return {
        "finding_form": form,
        "kept_at": draft.changed_at if draft else None,
        "faults": known_faults(),
        "seen": seen,
    }


def _form(order: Order, kept: dict[str, Any], suggested: str) -> FindingForm:
    before = order.findings.last()
    known = {name: getattr(before, name) for name in CARRIED} if before else {}
    fixed = {"key": secrets.token_urlsafe(24), "suggested": suggested}
    return FindingForm(order=order, said=said_of(before), initial={**known, **kept, **fixed})


def second_context(order: Order, forms: Mapping[str, Form]) -> dict[str, Any]:
    """The form of a second fault; it asks of the symptoms that nothing explains so far."""
    left = not_explained(order)
    key = secrets.token_urlsafe(24)
    return {
        "second_form": forms.get("second") or SecondFaultForm(symptoms=left, initial={"key": key}),
        "faults": known_faults(),
    }
