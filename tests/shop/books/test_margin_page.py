"""The page of the margin and that of one order: who sees them, what they say, how many queries they take."""

import re
from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake import lifecycle
from intake.models import Letterhead, Order
from intake.stations import SlipReason
from quotes.models import Move, Part
from shop.books import gather
from shop.books.house import house
from shop.books.margin import one_order, queries
from shop.models import BookDay, Cost, WorkSession
from tests import walk

# Session, person, what runs; the house, merged words, lines, the list of those here and theirs, other currencies, words;
# minutes, counts, months (of the window before, too, where there is one); names.
PAGE_QUERIES = 36
PAGES = ["/books/margin/", "/books/margin/?period=all&sort=family.full"]


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def gone(bench: SimpleNamespace, at: datetime) -> Order:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    walk.quote(order, by=bench.owner, at=at)
    walk.answer(order, at=at)
    walk.mend(order, by=bench.owner, at=at)
    walk.test_and_pass(order, by=bench.owner, at=at)
    walk.pay(order, by=bench.owner, at=at)
    return walk.send(order, by=bench.owner, at=at)


def said(client: Client, address: str) -> str:
    """The words of a page."""
    body = client.get(address).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", body[body.index("<h1") :]))


@pytest.mark.parametrize("address", PAGES)
def test_margin_is_the_owners_alone(bench: SimpleNamespace, at: datetime, address: str) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    technician = Client()
    technician.force_login(bench.technician)
    for place in (address, f"/books/margin/{order.code}/"):
        assert technician.get(place).status_code == 403
        assert Client().get(place).status_code == 302
        assert technician.post(place).status_code in (403, 405)


def test_margin_of_no_order_says_so(desk: Client, bench: SimpleNamespace) -> None:
    page = said(desk, "/books/margin/")
    assert "nothing yet" in page
    assert "Nothing here in this period" in page


def test_margin_says_cash_and_full_of_one_order(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    """112.00 without tax, less wire 0.09 and post 9.40; then 18 + 42 + 15 minutes at 0.70."""
    order = gone(bench, at)
    page = desk.get("/books/margin/?period=all").content.decode()
    assert "$102.51" in page and "$50.01" in page
    assert f"/books/margin/{order.code}/" in page
    assert "no-such" not in page and "not said" not in page


def test_margin_keeps_what_is_still_here_apart(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    page = said(desk, "/books/margin/?period=all")
    assert "Rests on 0 orders" in page
    assert re.search(r"Work in progress -\$12\.60", page)
    assert "It is still here" in said(desk, f"/books/margin/{order.code}/")


@pytest.mark.parametrize("orders", [1, 4])
@pytest.mark.parametrize("address", PAGES)
def test_margin_takes_as_many_queries_whatever_the_number_of_orders(
    desk: Client, bench: SimpleNamespace, at: datetime, address: str, orders: int
) -> None:
    desk.get(address)
    for _ in range(orders):
        gone(bench, at)
        walk.receive(walk.request(at=at), by=bench.technician, at=at)
    with CaptureQueriesContext(connection) as seen:
        assert desk.get(address).status_code == 200
    assert len(seen) == PAGE_QUERIES


def test_steps_of_one_order_name_their_papers_and_add_up(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = gone(bench, at)
    Cost.objects.create(order=order, key="c", what="A new tray", amount="3.00", at=at, by=bench.owner)
    found = one_order.steps_of(order, at=at + timedelta(days=1))
    assert found is not None
    assert found.left == found.steps[-1].amount == found.line.full
    for step in found.steps:
        assert step.is_sum or sum(source.amount for source in step.sources) == step.amount
    page = said(desk, f"/books/margin/{order.code}/")
    assert order.invoices.get().number in page
    assert "A new tray" in page and "Looking, " in page and "LA473124829ZZ" in page
    part = order.moves.filter(kind="consume").first()
    assert part is not None and part.part.name in page


def test_steps_of_one_order_carry_its_comeback_and_its_share(bench: SimpleNamespace, at: datetime) -> None:
    """Another order of the month was looked at for 18 minutes and sent back: 12.60, and 9.40 of post that is billed."""
    order = gone(bench, at)
    back = walk.request(at=at)
    walk.receive(back, by=bench.technician, at=at)
    walk.find(back, by=bench.owner, at=at)
    walk.quote(back, by=bench.owner, at=at)
    walk.answer(back, at=at, choice="back")
    walk.send(walk.pay(back, by=bench.owner, at=at), by=bench.owner, at=at)
    found = one_order.steps_of(order, at=at)
    assert found is not None
    steps = {step.key: step for step in found.steps}
    assert steps["share"].amount == -1_260
    assert "1 billed repair" in steps["share"].sources[0].words
    assert steps["left"].amount == found.line.full - 1_260


def test_order_in_another_currency_or_on_its_way_has_no_margin(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    assert desk.get(f"/books/margin/{walk.request(at=at).code}/").status_code == 404
    order = gone(bench, at)
    Letterhead.objects.update(currency="JPY")
    assert desk.get(f"/books/margin/{order.code}/").status_code == 404


def test_sheet_leads_the_owner_alone_to_the_margin(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    technician = Client()
    technician.force_login(bench.technician)
    link = f"/books/margin/{order.code}/"
    assert link in desk.get(f"/sheet/{order.code}/").content.decode()
    assert link not in technician.get(f"/sheet/{order.code}/").content.decode()


def test_minutes_count_in_the_window_they_began_in(bench: SimpleNamespace, at: datetime) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    for days, minutes in ((1, 10), (6, 20), (8, 40)):
        moment = at - timedelta(days=days)
        WorkSession.objects.create(
            order=order, kind="look", started_at=moment, ended_at=moment, minutes=minutes, by=bench.owner, by_hand=True
        )  # fmt: skip
    week = gather.open_books("week", at=at)
    assert queries.extra(week).minutes == 30
    assert queries.extra(gather.open_books("all", at=at)).worked == {("look", bench.owner.pk): 70}


def test_lost_parcel_is_told_from_another_loss_by_its_slip(bench: SimpleNamespace, at: datetime) -> None:
    order = gone(bench, at)
    Cost.objects.create(
        order=order, key="c", what="Value above cover", amount="140.00", at=at, by=bench.owner
    )
    lifecycle.hold(
        order, reason=SlipReason.LOST, by=lifecycle.staff(bench.owner), at=at, note="No scan since."
    )
    extra = queries.extra(gather.open_books("all", at=at + timedelta(hours=1)))
    assert extra.lost == {order.pk}
    assert extra.words == {order.pk: ("Value above cover",)}


def test_stock_short_is_what_counts_missed_less_what_they_found(bench: SimpleNamespace, at: datetime) -> None:
    part = Part.objects.order_by("pk")[0]
    for key, change in (("a", -3), ("b", 1)):
        Move.objects.create(
            key=key, part=part, kind="count", on_hand_change=change, unit_cost="1.4550", at=at, who="owner", why="counted"
        )  # fmt: skip
    assert queries.extra(gather.open_books("week", at=at)).stock_short == 291


def test_margin_by_month_has_every_month_and_rests_on_the_sums_by_day(
    bench: SimpleNamespace, at: datetime
) -> None:
    order = gone(bench, at)
    today = house().ordinal(int(at.timestamp()))
    with CaptureQueriesContext(connection) as seen:
        months = queries.by_month("USD", today=today)
    assert len(seen) == 1 and "bookday" in seen[0]["sql"]
    assert len(months) == 24
    (last,) = [month for month in months if month.orders]
    assert (last.orders, last.billed, last.full, last.minutes) == (1, 11_200, 5_001, 75)
    assert order.sent_at is not None and months[-1] == last
    BookDay.objects.update(day=today - 690)
    assert [month.orders for month in queries.by_month("USD", today=today)][:2] == [1, 0]
    BookDay.objects.update(day=today - 800)
    assert not any(month.orders for month in queries.by_month("USD", today=today))
