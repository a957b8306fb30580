"""A remedy that gets another name takes it into the books: what is kept of orders says it by its name."""

import datetime as dt
from typing import Any

from intake.history import in_turn
from intake.models import Person
from quotes import price_rows
from quotes.models import Remedy
from shop.models import BookDay, BookLine


@in_turn
def save_remedy(
    *, remedy: Remedy | None, changes: dict[str, Any], by: Person, at: dt.datetime
) -> Remedy | None:
    """As `quotes.price_rows.save_remedy`, and raises what that does. No two remedies bear one name, so that the name alone
    says which rows are its own."""
    old = "" if remedy is None else Remedy.objects.get(pk=remedy.pk).name
    row = price_rows.save_remedy(remedy=remedy, changes=changes, by=by, at=at)
    if row is not None and old and row.name != old:
        BookLine.objects.filter(remedy=old).update(remedy=row.name)
        BookDay.objects.filter(facet=BookDay.Facet.REMEDY, word=old).update(word=row.name)
    return row
