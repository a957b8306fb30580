"""The register of parts: a new part, and what may be changed about one. Pieces change only by moves (quotes.stock)."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import IntegrityError, transaction

from intake import history
from intake.history import in_turn
from intake.models import Person
from intake.refusals import Refused
from quotes.lots import lot_meant
from quotes.models import Part
from quotes.price_rows import differences


@dataclass(frozen=True)
class Described:
    """What a part is. `list_price` None: priced by the rule of the rates, never below `minimum_price`.

    `tax_kind` empty: taxed as a part. `special`: ordered for one job.
    """

    name: str
    fits: str = ""
    bin: str = ""
    list_price: Decimal | None = None
    minimum_price: Decimal | None = None
    tax_kind: str = ""
    special: bool = False
    reorder_at: int = 0
    active: bool = True


@in_turn
def add_part(*, number: str, condition: str, described: Described, by: Person, at: dt.datetime) -> Part:
    """A new part with an empty bin. Raises Refused for a number that is taken, in any spelling of its letters."""
    taken = Refused(f"{number} is in the stock already.", field="number")
    if Part.objects.filter(number__iexact=number).exists():
        raise taken
    if lot_meant(number) is not None:
        raise Refused(
            f"{number} is the number of a lot; a scan would take one for the other.", field="number"
        )
    try:
        with transaction.atomic():
            row = Part.objects.create(number=number, condition=condition, **vars(described))
    except IntegrityError as fault:
        raise taken from fault
    _tell(row, "part added", differences(Part(), vars(described)), by, at)
    return row


@in_turn
def change_part(*, part: Part, described: Described, by: Person, at: dt.datetime) -> Part:
    """Change what a part is called, fits, where it lies and sells for. Raises Refused while pieces lie in a retired bin."""
    row = Part.objects.select_for_update().get(pk=part.pk)
    if not described.active and row.on_hand:
        raise Refused(f"{row.on_hand} still lie in the bin. Count them out first.", field="active")
    changed = differences(row, vars(described))
    for name, value in vars(described).items():
        setattr(row, name, value)
    row.save(update_fields=list(vars(described)))
    if changed:
        _tell(row, "part changed", changed, by, at)
    return row


def _tell(row: Part, what: str, changes: dict[str, list[object]], by: Person, at: dt.datetime) -> None:
    facts = {"row": row.pk, "number": row.number, "changes": changes}
    history.record(order=None, what=what, by=by.username, at=at, facts=facts)
