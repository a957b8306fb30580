"""Lines as the database gives them back: none of none, and yes and no in words."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

from intake.stations import Station
from shop.books import finding, keep
from shop.books.recount import recount
from shop.models import BookLine
from tests import walk

AT = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)


def test_nothing_asked_for_is_nothing_read(bench: SimpleNamespace) -> None:
    walk.to(walk.request(at=AT), Station.WAY_HOME, by=bench.owner, at=AT)
    assert list(keep.kept(BookLine.objects.filter(order__in=[]))) == []
    # Books that are right already are mended in no place.
    assert recount(mend=True).faults == []


def test_file_of_lines_says_yes_and_no_of_orders_that_left_and_of_those_here(bench: SimpleNamespace) -> None:
    walk.to(walk.request(at=AT), Station.WAY_HOME, by=bench.owner, at=AT)
    walk.to(walk.request(at=AT), Station.DIAGNOSIS, by=bench.owner, at=AT)
    table = finding.table("order-lines", finding.open_period("all", at=AT + timedelta(days=1)))
    assert table is not None
    assert [(row["trade"], row["needs_part"]) for row in table.named()] == [("no", "yes"), ("no", "no")]
