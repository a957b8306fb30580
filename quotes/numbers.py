"""Numbers without gaps: taken in the transaction that uses them, or not at all."""

from intake.history import in_turn
from quotes.models import NumberSeries

PREFIXES = {"invoice": "INV", "credit": "CRN", "statement": "STM"}


@in_turn
def take(kind: str) -> int:
    """The next number of a series. The row stays locked until the transaction ends, so that nobody else has it."""
    series, _ = NumberSeries.objects.select_for_update().get_or_create(kind=kind)
    number: int = series.next
    NumberSeries.objects.filter(kind=kind).update(next=number + 1)
    return number


def next_number(kind: str) -> str:
    """The next number of a kind of document as it is printed, such as INV-00007. Raises KeyError for an unknown kind."""
    prefix = PREFIXES[kind]
    return f"{prefix}-{take(kind):05d}"
