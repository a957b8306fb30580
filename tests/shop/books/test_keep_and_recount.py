"""Lines are kept in the transaction of each change, and a recount from every sheet and paper finds the same."""

from collections.abc import Iterator
from datetime import UTC, datetime
from io import StringIO

import pytest
from django.conf import LazySettings
from django.core.management import CommandError, call_command
from django.db.models import Sum

from intake.models import Device, Order
from shop.books.day_sums import ADDED
from shop.books.fill import fill_missing
from shop.books.gather import open_books
from shop.books.recount import recount
from shop.demo import world
from shop.models import BookDay, BookLine, WorkSession

AS_OF = datetime(2026, 2, 27, 18, 0, tzinfo=UTC)


@pytest.fixture
def demo(db: None, settings: LazySettings) -> Iterator[dict[str, Order]]:
    settings.DEMO = True
    yield world.build(as_of=AS_OF)


def test_lines_of_the_demo_world_are_what_its_papers_say(demo: dict[str, Order]) -> None:
    count = recount()
    assert count.faults == []
    gone = Order.objects.exclude(sent_at=None, closed_at=None).exclude(arrived_at=None).count()
    assert count.lines == BookLine.objects.count() == gone > 30
    every = BookDay.objects.filter(facet="all").aggregate(orders=Sum("orders"), billed=Sum("billed"))
    assert every["orders"] == gone
    assert every["billed"] == BookLine.objects.aggregate(sum=Sum("billed"))["sum"] > 0
    for facet in BookDay.Facet:
        rows = BookDay.objects.filter(facet=facet).aggregate(**{name: Sum(name) for name in ADDED})
        assert rows == BookDay.objects.filter(facet="all").aggregate(**{name: Sum(name) for name in ADDED})


def test_recount_says_what_was_changed_behind_it_and_mends(demo: dict[str, Order]) -> None:
    line = BookLine.objects.get(order=demo["mara"])
    BookLine.objects.filter(pk=line.pk).update(billed=line.billed + 1)
    WorkSession.objects.filter(order=demo["tobin"], kind="look").update(minutes=99)
    BookDay.objects.filter(facet="family").first().delete()  # type: ignore[union-attr]  # there are many
    BookLine.objects.get(order=demo["dov"]).delete()
    with pytest.raises(CommandError, match="are not what the papers say"):
        call_command("recount_books", stderr=(said := StringIO()))
    words = said.getvalue()
    assert f"Order {demo['mara'].code}: billed is {line.billed + 1} and should be {line.billed}." in words
    assert f"Order {demo['dov'].code} has left and has no line." in words
    assert f"Order {demo['tobin'].code}: look is" in words
    assert "The sums of day" in words
    call_command("recount_books", "--mend", stderr=StringIO(), stdout=StringIO())
    assert recount().faults == []


def test_orders_that_left_before_there_were_books_get_their_lines(demo: dict[str, Order]) -> None:
    lines, sums = set(BookLine.objects.values_list()), BookDay.objects.count()
    BookDay.objects.all().delete()
    BookLine.objects.all().delete()
    assert fill_missing() == len(lines)
    assert (set(BookLine.objects.values_list()), BookDay.objects.count()) == (lines, sums)
    assert recount().faults == []
    assert fill_missing() == 0


def test_books_hold_open_orders_and_follow_merged_families(demo: dict[str, Order]) -> None:
    books = open_books("all", at=AS_OF)
    assert len(books.lines) == Order.objects.exclude(arrived_at=None).count()
    here = {line.order for line in books.here()}
    assert {demo["hollis"].pk, demo["yusra"].pk} <= here
    families = {line.order: line.family for line in books.lines}
    order = demo["mara"]
    assert families[order.pk] == Device.objects.get(orders=order).family
