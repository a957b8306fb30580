"""The register of parts: a new part, and what may be changed about one. Pieces change only by moves (quotes.stock)."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import IntegrityError, transaction

from intake.history import in_turn
from intake.refusals import Refused
from quotes.models import Part


@dataclass(frozen=True)
class Described:
    """What a part is. `list_price` None: priced by the rule of the rates."""

    name: str
    fits: str = ""
    bin: str = ""
    list_price: Decimal | None = None
    reorder_at: int = 0
    active: bool = True


def add_part(*, number: str, condition: str, described: Described) -> Part:
    """A new part with an empty bin. Raises Refused for a number that is taken, in any spelling of its letters."""
    taken = Refused(f"{number} is in the stock already.", field="number")
    if Part.objects.filter(number__iexact=number).exists():
        raise taken
    try:
        with transaction.atomic():
            return Part.objects.create(number=number, condition=condition, **vars(described))
    except IntegrityError as fault:
        raise taken from fault


@in_turn
def change_part(*, part: Part, described: Described) -> Part:
    """Change what a part is called, fits, where it lies and sells for. Raises Refused while pieces lie in a retired bin."""
    row = Part.objects.select_for_update().get(pk=part.pk)
    if not described.active and row.on_hand:
        raise Refused(f"{row.on_hand} still lie in the bin. Count them out first.", field="active")
    for name, value in vars(described).items():
        setattr(row, name, value)
    row.save(update_fields=list(vars(described)))
    return row
