"""What was fitted into orders that left, as lots are compared by it."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

from intake.lifecycle import staff
from intake.stations import Station
from quotes import stock
from quotes.models import Part
from shop.books.gather import open_books
from shop.books.promises.queries import fitted
from tests import walk

AT = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)


def test_part_that_was_put_back_was_not_fitted(bench: SimpleNamespace) -> None:
    by = staff(bench.owner)
    order = walk.to(walk.request(at=AT), Station.TEST, by=bench.owner, at=AT)
    stays = {(move.part.number, "") for move in order.moves.filter(kind="consume")}
    assert stays
    other = Part.objects.exclude(number__in=[number for number, _ in stays]).filter(on_hand__gt=3)[0]
    move = stock.take(part=other, quantity=1, order=order, key="t", by=by, at=AT)
    stock.give_back(move=move, key="b", by=by, at=AT)
    walk.to(order, Station.WAY_HOME, by=bench.owner, at=AT)
    books = open_books("all", at=AT + timedelta(days=1))
    assert {(row.part, row.lot) for row in fitted(books)} == stays
