"""The proof asks the database as often of forty entries as of four."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from quotes import billing
from quotes.models import Entry
from quotes.proof import prove
from tests.quotes.money_orders import agreed, billed, paid


def asked() -> int:
    with CaptureQueriesContext(connection) as seen:
        assert prove() == []
    return len(seen)


def test_proof_takes_as_many_queries_whatever_the_number_of_entries(rates, technician, at, remedy, part):
    first = 0
    for number in range(1, 6):
        quote = agreed(by=technician, at=at, remedy=remedy, part=part, key=f"order {number}")
        invoice = billed(quote, by=technician, at=at)
        paid(quote.order, "50", by=technician, at=at, key=f"p{number}")
        billing.credit(
            invoice=invoice, why="x", lines={1: invoice.lines.get(number=1).quantity}, by=technician, at=at
        )
        first = first or asked()
    assert Entry.objects.count() == 15
    assert asked() == first
