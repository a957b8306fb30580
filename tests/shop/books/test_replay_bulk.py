"""Orders made in bulk, of many shapes, run again: unchanged they are their lines to the cent."""

from datetime import UTC, datetime

from intake.models import Order
from shop.books.gather import open_books
from shop.books.replay.queries import extra
from shop.books.replay.replay_maths import replayed
from shop.books.replay.shapes import NO_MORE
from shop.bulk.make import make_orders
from shop.bulk.walks import shapes

AS_OF = datetime(2026, 2, 27, 18, 0, tzinfo=UTC)
# Every way a bill can come about, and none.
SHAPES = {
    "declined", "no fix", "data only", "failed once", "asked again", "two faults", "with deposit", "credited", "trade paid",
    "ours to mend", "lost",
}  # fmt: skip


def test_replay_of_generated_orders_unchanged_is_the_ledger(db: None) -> None:
    which = [shape for shape in shapes() if shape.name in SHAPES]
    make_orders(orders=150, seed=5, years=1, at=AS_OF, which=which)
    books = open_books("year", at=AS_OF, back=0)
    rest = extra(books)
    ran = replayed(books, rest)
    assert len(ran.orders) == len(books.gone()) > 60
    for both in ran.orders:
        line = both.line
        assert both.would == both.was
        assert (both.would.cash, both.would.full, both.would.spent) == (
            line.cash,
            line.full,
            line.minutes * 60,
        )
    assert ran.would.full == sum(line.full for line in books.gone())
    agreed = {line.order: line.quoted for line in books.gone() if line.answer == "accepted"}
    assert {pk: rest.more.get(pk, NO_MORE).asked for pk in agreed} == agreed
    billed = {line.order: line.billed for line in books.gone() if line.billed}
    assert all(
        sum(net for net, _ in (*rest.more[pk].labour, *rest.more[pk].post)) <= billed[pk] for pk in billed
    )
    assert Order.objects.filter(pk__in=rest.more).count() == len(rest.more)
