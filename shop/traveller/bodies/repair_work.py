"""The steps and the parts of station 60."""

from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order
from intake.stations import SlipReason
from quotes import stock
from quotes.agreed import agreed_lines
from quotes.lots import barred
from quotes.models import Move, Part, Quote
from shop.bench import own_steps, repair
from shop.bench.spoiling import is_bad_on_arrival
from shop.bench.step_times import since_last
from shop.models import RepairStep
from shop.traveller.bodies.readings import new_key
from shop.traveller.forms.parts import SpoilFittedForm, TakePartForm, lot_choices
from shop.traveller.forms.repair import OwnStepForm, StepsForm


def steps(order: Order, forms: Mapping[str, Form]) -> dict[str, Any]:
    """The ticks grouped by remedy, each with its hand and the minutes since the one before."""
    rows = repair.steps_of(order)
    done = [step.key for step in rows if step.done_at]
    form = forms.get("steps") or StepsForm(
        steps=[(step.key, step.text) for step in rows], initial={"steps": done}
    )
    return {
        "steps_form": form,
        "steps": rows,
        "step_groups": _groups(rows, form),
        "steps_left": len(rows) - len(done),
        "undone": repair.undone_words(order) if form.is_bound else "",
        "own_step_form": forms.get("own_step") or OwnStepForm(initial={"key": new_key()}),
        "own_steps": [step for step in rows if step.pk and step.remedy is None],
        "own_step_remedies": own_steps.remedies_of(order),
    }


def _groups(rows: list[RepairStep], form: Form) -> list[dict[str, Any]]:
    boxes = {str(box.data["value"]): box for box in form["steps"]}
    groups: dict[int | None, dict[str, Any]] = {}
    for step, since in zip(rows, since_last([step.done_at for step in rows]), strict=True):
        if step.key not in boxes:
            continue
        name = step.remedy.name if step.remedy else "Done besides"
        group = groups.setdefault(
            step.remedy_id, {"name": name, "wire": "wire" in name.casefold(), "steps": []}
        )
        wire = not group["wire"] and "wire" in step.text.casefold()
        group["steps"].append({"box": boxes[step.key], "step": step, "since": since, "wire": wire})
    return list(groups.values())


def parts(order: Order, agreed: Quote | None, forms: Mapping[str, Form]) -> dict[str, Any]:
    aside = stock.set_aside(order)
    rows = Part.objects.in_bulk(list(aside))
    return {
        "aside": [
            {"part": rows[pk], "pieces": aside[pk], "key": new_key(), "lots": lot_choices(rows[pk])}
            for pk in sorted(aside)
        ],
        "used": used_of(order, forms.get("spoil_fitted")),
        "short": short_of(order, agreed, aside),
        "waits_for_part": order.slips.filter(reason=SlipReason.PART, ended_at__isnull=True).exists(),
        "part_form": forms.get("take_part") or TakePartForm(initial={"quantity": 1, "key": new_key()}),
        "spoil_form": forms.get("spoil_fitted"),
    }


def used_of(order: Order, typed: Form | None = None) -> list[dict[str, Any]]:
    """What was taken from the bins for this order; `back` says that it was put back since.

    `typed` is the form of a fitted part that could not be written off, as it was typed.
    """
    moves = list(order.moves.filter(kind__in=["consume", "spoil"]).select_related("part", "lot"))
    keys = {move.key for move in moves}
    return [
        {
            "move": move,
            "pieces": -move.on_hand_change,
            "spoiled": move.kind == Move.Kind.SPOIL,
            "bad_lot": move.lot
            if move.kind == Move.Kind.SPOIL and is_bad_on_arrival(move.why) and move.lot
            else None,
            "back": f"back:{move.pk}" in keys,
            "form": _spoil_form(move, typed),
        }
        for move in moves
        if move.on_hand_change < 0
    ]


def _spoil_form(move: Move, typed: Form | None) -> Form:
    if typed is not None and typed.data.get("move") == str(move.pk):
        return typed
    return SpoilFittedForm(auto_id=f"spoil-{move.pk}_%s", initial={"move": move.pk, "key": new_key()})


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
            free = max(line.part.free - barred(line.part), 0)
            missing.append(f"{line.part.number} {line.part.name}: {left} wanted, {free} free in the bin.")
    return missing
