"""The lines of a draft as the bench sees them: price, choice, extra, and why each number is what it is."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.forms import Form

from intake.models import Order, Person
from quotes.choice_sums import MEND, Sums
from quotes.choice_words import LABELS
from quotes.drafts import Preview
from quotes.explaining import explain
from quotes.models import Part, QuoteDraft, Rates
from quotes.policies import policy_for
from quotes.pricing import Line
from shop.traveller.forms.quote import LineForm


@dataclass(frozen=True)
class Done:
    """A line of the draft as it was priced, and what it is for where that is not the plain repair."""

    line: Line
    marks: tuple[str, ...]


def rows_of(
    order: Order, draft: QuoteDraft, worked: Preview | None, *, person: Person, forms: Mapping[str, Form]
) -> list[dict[str, Any]]:
    """The lines of the draft with their forms; a bound one, refused before, stands in its own line."""
    parts = Part.objects.in_bulk([line["part"] for line in draft.lines if line.get("part")])
    priced = _done(draft, worked) if worked else {}
    wrong = forms.get("line")
    rows = []
    for number, line in enumerate(draft.lines, start=1):
        form = (
            wrong
            if isinstance(wrong, LineForm) and wrong.number == number
            else LineForm(initial=_typed(line, draft), number=number, currency=order.currency)
        )
        rows.append(_row(number, line, priced.get(number), parts.get(line.get("part") or 0), form, person))
    return [*rows, *(_by_the_rates(sums, worked) for sums in _raised(worked))]


def _done(draft: QuoteDraft, worked: Preview) -> dict[int, Done]:
    found: dict[int, Done] = {}
    for sums in worked.sums.values():
        for row in sums.lines:
            if row.number and row.number not in found:
                given = draft.lines[row.number - 1]
                found[row.number] = Done(row.line, _marks(given, worked, sums))
    return found


def _marks(given: dict[str, Any], worked: Preview, sums: Sums) -> tuple[str, ...]:
    marks = []
    if sums.choice != MEND:
        off = "" if sums.choice in worked.offered else " (not offered)"
        marks.append(f"{LABELS[sums.choice]}{off}")
    if given.get("extra"):
        marks.append(f"Optional extra: {given.get('extra_text', '')}")
    return tuple(marks)


def _raised(worked: Preview | None) -> list[Sums]:
    """The choices that the smallest charge has raised."""
    if worked is None:
        return []
    return [sums for sums in worked.sums.values() if any(not row.number for row in sums.lines)]


def _by_the_rates(sums: Sums, worked: Preview | None) -> dict[str, Any]:
    line = next(row.line for row in sums.lines if not row.number)
    marks = (LABELS[sums.choice],) if sums.choice != MEND else ()
    return {"number": 0, "text": line.text, "line": line, "why": line.why, "marks": marks}


def _typed(line: dict[str, Any], draft: QuoteDraft) -> dict[str, Any]:
    return {
        "quantity": line.get("quantity") or "1",
        "price": line.get("price") or "",
        "choice": line.get("choice") or MEND,
        "optional": bool(line.get("extra")),
        "extra_text": line.get("extra_text", ""),
        "draft": draft.version,
    }


def _row(
    number: int, line: dict[str, Any], done: Done | None, part: Part | None, form: Form, person: Person
) -> dict[str, Any]:
    priced = done.line if done else None
    return {
        "number": number,
        "form": form,
        "text": priced.text if priced else line.get("text") or line["kind"],
        "line": priced,
        "why": why(priced, person) if priced else "",
        "marks": done.marks if done else (),
        "is_post": line["kind"] == "post",
        "open": bool(done and done.marks) or any(form.errors.get(name) for name in ("choice", "extra_text")),
        "part": part,
        "short": part is not None and priced is not None and priced.quantity > part.free,
    }


def why(line: Line, person: Person) -> str:
    """Where the price comes from. What a part cost the shop is the owner's to see."""
    if person.is_owner or not line.why.startswith("Cost "):
        return line.why
    return f"By the shop's rule for parts: {line.unit_price}."


def steps_of(order: Order, worked: Preview, *, person: Person) -> list[dict[str, Any]]:
    """How the repair's total comes about, step by step: what, amount, why."""
    steps = explain(worked.priced, policy_for(order, Rates.current()))
    told = [why(line, person) for line in worked.priced.lines]
    return [
        {"what": step.what, "amount": step.amount, "why": told[place] if place < len(told) else step.why}
        for place, step in enumerate(steps)
    ]
