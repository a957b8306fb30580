"""Station 60: the mending. Steps, parts, readings after, done; or a second fault, or no fix."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order, Person
from intake.stations import SlipReason
from quotes import decisions, stock
from quotes.agreed import agreed_lines, agreed_no_fix_total
from quotes.models import Move, Part, Quote
from shop.bench import repair
from shop.branches import at_station
from shop.traveller.bodies.finding import second_context
from shop.traveller.bodies.readings import new_key, readings_after
from shop.traveller.forms.repair import (
    NoFixForm,
    OwnStepForm,
    StepsForm,
    TakePartForm,
)
from shop.traveller.minutes import minutes_here

FORM_ID = "repair-done"


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    agreed = decisions.agreed_quote(order)
    return {
        "agreed": agreed,
        "no_fix_total": agreed_no_fix_total(agreed.decision) if agreed else None,
        "agreed_lines": agreed_lines(agreed.decision) if agreed else [],
        **_steps(order, forms),
        **_parts(order, agreed, forms),
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
        "used": used_of(order),
    }


def _steps(order: Order, forms: Mapping[str, Form]) -> dict[str, Any]:
    steps = repair.steps_of(order)
    done = [step.key for step in steps if step.done_at]
    pairs = [(step.key, step.text) for step in steps]
    form = forms.get("steps") or StepsForm(steps=pairs, initial={"steps": done})
    return {
        "steps_form": form,
        "steps": steps,
        "steps_left": len(steps) - len(done),
        "own_step_form": forms.get("own_step") or OwnStepForm(initial={"key": new_key()}),
    }


def _parts(order: Order, agreed: Quote | None, forms: Mapping[str, Form]) -> dict[str, Any]:
    aside = stock.set_aside(order)
    rows = Part.objects.in_bulk(list(aside))
    return {
        "aside": [{"part": rows[pk], "pieces": aside[pk], "key": new_key()} for pk in sorted(aside)],
        "used": used_of(order),
        "short": short_of(order, agreed, aside),
        "waits_for_part": order.slips.filter(reason=SlipReason.PART, ended_at__isnull=True).exists(),
        "part_form": forms.get("take_part") or TakePartForm(initial={"quantity": 1, "key": new_key()}),
    }


def used_of(order: Order) -> list[dict[str, Any]]:
    """What was taken from the bins for this order; `back` says that it was put back since."""
    moves = list(order.moves.filter(kind__in=["consume", "spoil"]).select_related("part"))
    keys = {move.key for move in moves}
    return [
        {
            "move": move,
            "pieces": -move.on_hand_change,
            "spoiled": move.kind == Move.Kind.SPOIL,
            "back": f"back:{move.pk}" in keys,
        }
        for move in moves
        if move.on_hand_change < 0
    ]


def short_of(order: Order, agreed: Quote | None, aside: dict[int, int]) -> list[str]:
    """A sentence for each agreed part that is neither fitted nor put aside."""
    if agreed is None:
        return []
    fitted: dict[int, int] = {}
    for move in order.moves.filter(kind="consume"):
        fitted[move.part_id] = fitted.get(move.part_id, 0) - move.on_hand_change
    missing = []
    for line in agreed_lines(agreed.decision):
        if line.part is None:
            continue
        left = int(line.quantity) - fitted.get(line.part_id, 0) - aside.get(line.part_id, 0)
        if left > 0:
            missing.append(
                f"{line.part.number} {line.part.name}: {left} wanted, {line.part.free} free in the bin."
            )
    return missing
