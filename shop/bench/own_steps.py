"""What the bench did besides becomes part of a remedy, so that the next order of its kind lists it."""

import datetime as dt

from intake.history import in_turn
from intake.models import Order, Person
from intake.refusals import Refused
from quotes import decisions, price_rows
from quotes.agreed import agreed_lines
from quotes.models import QuoteLine, Remedy
from shop.bench.repair import step_key
from shop.models import RepairStep


def remedies_of(order: Order) -> list[Remedy]:
    """The agreed remedies that a step may be added to, each once; a merged one is the one it went into."""
    return list({_standing(line).pk: _standing(line) for line in _lines(order)}.values())


def _lines(order: Order) -> list[QuoteLine]:
    quote = decisions.agreed_quote(order)
    return [line for line in (agreed_lines(quote.decision) if quote else []) if line.remedy is not None]


def _standing(line: QuoteLine) -> Remedy:
    assert line.remedy is not None
    return line.remedy.merged_into or line.remedy


@in_turn
def take_into_remedy(*, step: RepairStep, remedy: Remedy, by: Person, at: dt.datetime) -> Remedy:
    """Put a step of one's own at the end of the list of an agreed remedy. Raises Refused.

    The step becomes that step of the list on its own order, so that it is not asked for twice.
    """
    lines = [line for line in _lines(step.order) if _standing(line).pk == remedy.pk]
    if not lines:
        raise Refused("That remedy is not agreed on this sheet.", field="remedy")
    row = Remedy.objects.select_for_update().get(pk=remedy.pk)
    if step.text.casefold() in (text.casefold() for text in row.steps):
        raise Refused(f"{row.name} has that step already.", field="remedy")
    price_rows.save_remedy(remedy=row, changes={"steps": [*row.steps, step.text]}, by=by, at=at)
    step.remedy = row
    key = step_key(lines[0], len(row.steps) + 1)
    if lines[0].remedy_id == row.pk and not RepairStep.objects.filter(key=key).exists():
        step.key = key
    step.save(update_fields=["remedy", "key"])
    return row
