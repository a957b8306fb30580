"""The twelve orders of the demonstration through the books: every figure of their own table, to the digit."""

from dataclasses import replace
from datetime import UTC, datetime

from django.conf import LazySettings

from intake.models import Order
from shop.books.gather import open_books
from shop.demo import world
from tests.shop.books import seven_margin, seven_owed, seven_promises, seven_replay, seven_time

AS_OF = datetime(2026, 2, 27, 18, 0, tzinfo=UTC)
TWELVE = (
    "mara", "tobin", "ines", "dov", "lenka", "petra", "osei", "hollis", "yusra", "garrick", "stallmere", "wendeline",
)  # fmt: skip


def test_books_of_the_twelve_say_what_their_table_says(db: None, settings: LazySettings) -> None:
    settings.DEMO = True
    named = world.build(as_of=AS_OF)
    batch = Order.objects.filter(customer=named["stallmere"].customer).values_list("pk", flat=True)
    wanted = {named[name].pk for name in TWELVE} | set(batch)
    books = open_books("all", at=AS_OF)
    twelve = replace(books, lines=tuple(line for line in books.lines if line.order in wanted))
    assert len(twelve.lines) == 15
    for part in (seven_margin, seven_time, seven_promises, seven_owed, seven_replay):
        part.check(twelve, named)
