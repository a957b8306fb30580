"""Station 60: the mending. Steps, parts, readings after, done; or a second fault, or no fix."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order, Person
from quotes import decisions
from quotes.agreed import agreed_lines, agreed_no_fix_total
from shop.branches import at_station
from shop.traveller.bodies import repair_work
from shop.traveller.bodies.finding import second_context
from shop.traveller.bodies.readings import readings_after
from shop.traveller.forms.repair import (
    NoFixForm,
)
from shop.traveller.minutes import minutes_here

FORM_ID = "repair-done"


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    agreed = decisions.agreed_quote(order)
    return {
        "agreed": agreed,
        "no_fix_total": agreed_no_fix_total(agreed.decision) if agreed else None,
        "agreed_lines": agreed_lines(agreed.decision) if agreed else [],
        **repair_work.steps(order, forms),
        **repair_work.parts(order, agreed, forms),
        **minutes_here(order, person, at, "repair"),
        **readings_after(order, forms, person=person, at=at),
        **second_context(order, forms),
        "no_fix_form": forms.get("no_fix") or NoFixForm(),
        **at_station.ends_at_bench(order, forms),
        "sign_form": FORM_ID,
        "sign_note": "then it goes to 70",
        "rail": {
            "keys": [
                {"words": "Photo", "key": "F8", "target": "after_photo-photos"},
                {"words": "Reading", "key": "F2", "target": "reading_line"},
                {"words": "Part", "key": "F4", "target": "part_number"},
            ],
            "sign": {"words": "Sign, on to Test", "form": FORM_ID},
        },
    }


def signed_context(order: Order, *, person: Person) -> dict[str, Any]:
    return {
        "done": list(order.steps.filter(done_at__isnull=False).select_related("by")),
        "used": repair_work.used_of(order),
    }
