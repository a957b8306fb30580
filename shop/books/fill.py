"""Lines for orders that left before there were books: made once, after the database was carried forward."""

from intake.history import in_turn
from intake.models import Order
from shop.books.keep import rebuild
from shop.books.line_facts import gone

PORTION = 500


def fill_missing() -> int:
    """Write the line of every order that has left and has none; says how many. One query where there is nothing to do.

    In portions, each in a turn of its own: a shop that is open meanwhile loses nothing and waits for none of it long."""
    missing = Order.objects.filter(gone(), book_line__isnull=True).order_by("pk")
    made = 0
    while pks := list(missing.values_list("pk", flat=True)[:PORTION]):
        if not (done := _portion(pks)):
            break
        made += done
    return made


@in_turn
def _portion(pks: list[int]) -> int:
    return rebuild(pks)
