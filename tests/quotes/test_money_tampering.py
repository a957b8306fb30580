"""Random changes of money behind the triggers: the recount of the books finds each."""

import random
from decimal import Decimal

from django.db import connection, transaction

from intake.append_only import disarm
from intake.stations import Station
from quotes.models import Entry, Invoice, InvoiceLine, Payment, Posting
from quotes.proof import prove
from tests import walk

SEED = 20260205
TABLES = [Invoice, InvoiceLine, Payment, Entry, Posting]
CENTS = [Decimal("0.01"), Decimal("-0.01"), Decimal("1.00"), Decimal("-100.00"), Decimal("12345.67")]


def _amount(rng, row, column):
    changed = getattr(row, column) + rng.choice(CENTS)
    type(row).objects.filter(pk=row.pk).update(**{column: changed})
    return f"{type(row).__name__}.{column} is {changed}"


def _gone(_rng, row, _column):
    if isinstance(row, Entry):
        Posting.objects.filter(entry=row)._raw_delete("default")
    type(row).objects.filter(pk=row.pk)._raw_delete("default")
    return f"{type(row).__name__} is gone"


def _other(_rng, row, column):
    """What names a row is given another name."""
    type(row).objects.filter(pk=row.pk).update(**{column: f"{getattr(row, column)}9"[-20:]})
    return f"{type(row).__name__}.{column} is another"


def test_random_tampering_with_money_is_always_found(bench, at, size):
    for _ in range(2):
        walk.to(walk.request(at=at), Station.HOME, by=bench.technician, at=at)
    for model in TABLES:
        disarm(connection, model._meta.db_table)
    assert prove() == []
    rng, missed = random.Random(SEED), []
    deeds = [
        (Invoice, _amount, "total"), (InvoiceLine, _amount, "net"), (Payment, _amount, "amount"), (Posting, _amount, "amount"),
        (Posting, _gone, ""), (Entry, _gone, ""), (Payment, _gone, ""), (Entry, _other, "key"), (Invoice, _other, "number"),
    ]  # fmt: skip
    for number in range(size(27, 400)):
        model, deed, column = deeds[number % len(deeds)]
        row = rng.choice(list(model.objects.order_by("pk")))
        with transaction.atomic():
            said = deed(rng, row, column)
            if not prove():
                missed.append(f"{number}: {said}")
            transaction.set_rollback(True)
    assert not missed
    assert prove() == []
