"""The page of the replay: who may, what it says, and the invented world run again."""

import csv
import io
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from django.conf import LazySettings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake import lifecycle
from intake.models import Order
from intake.stations import SlipReason
from shop.books import gather
from shop.books.replay.queries import extra
from shop.demo import world
from shop.models import Cost
from tests import walk
from tests.shop.books import seven_replay

PAGES = ["/books/replay/", "/books/replay/orders.csv"]
# Session, person, what runs, head; rates, lines, those here, spelling; then the eight of the replay and the codes of ten orders.
PAGE_QUERIES = 22


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def _gone(bench: SimpleNamespace, at: datetime, *, answered: timedelta = timedelta(0)) -> Order:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    walk.quote(order, by=bench.owner, at=at)
    walk.answer(order, at=at + answered)
    at += answered
    walk.mend(order, by=bench.owner, at=at)
    walk.test_and_pass(order, by=bench.owner, at=at)
    walk.pay(order, by=bench.owner, at=at)
    return walk.send(order, by=bench.owner, at=at)


def _now() -> datetime:
    return datetime.now(UTC).replace(microsecond=0)


@pytest.mark.parametrize("address", PAGES)
def test_replay_is_the_owners_alone(bench: SimpleNamespace, address: str) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(address).status_code == 403
    assert Client().get(address).status_code == 302


def test_replay_without_an_order_says_what_fills_it(desk: Client) -> None:
    assert "No order has left in the last 52 weeks" in desk.get("/books/replay/").content.decode()


def test_replay_of_nothing_says_that_it_is_the_ledger(desk: Client, bench: SimpleNamespace) -> None:
    _gone(bench, _now() - timedelta(days=3))
    page = desk.get("/books/replay/").content.decode()
    assert "both columns are the ledger, to the cent" in page
    assert "Orders that change most" not in page


def test_replay_says_what_it_takes_for_granted(desk: Client, bench: SimpleNamespace) -> None:
    order = _gone(bench, _now() - timedelta(days=3), answered=timedelta(days=1))
    page = desk.get(
        "/books/replay/?labour=10&fewer=5&limit=1000&cover_above=100&cover_fixed=1&stop_after=600"
    ).content.decode()
    assert order.code in page
    assert "Labour of every order is 10 % dearer, each line rounded." in page
    assert "for each 10 % more on the whole quote, 5 of 100 fewer say yes" in page
    assert "Everybody who said yes is taken to have set a limit of at least $1,000.00." in page
    assert "Every claim is taken to be paid." in page
    assert "Looking stops after 10 h." in page
    assert "Orders that never came" in page


def test_replay_keeps_what_was_typed_beside_a_clear_sentence(desk: Client, bench: SimpleNamespace) -> None:
    _gone(bench, _now() - timedelta(days=3))
    page = desk.get("/books/replay/?labour=much&cover_fixed=1&stop_after=soon").content.decode()
    assert 'value="much"' in page
    assert 'value="soon"' in page
    assert "That is not a number. Type one such as 12 or 12.50." in page
    assert "Say above which declared value cover is bought." in page
    assert "Type a whole number of minutes, such as 60." in page
    assert "What came out" not in page


def test_replay_asks_for_a_price_where_answers_change(desk: Client, bench: SimpleNamespace) -> None:
    _gone(bench, _now() - timedelta(days=3))
    assert "Fewer say yes only where a price changes." in desk.get("/books/replay/?fewer=5").content.decode()
    remedy = desk.get("/books/replay/?remedy=Nothing+known").content.decode()
    assert "No order that left had that remedy." in remedy


def test_replay_takes_the_same_queries_however_many_orders(desk: Client, bench: SimpleNamespace) -> None:
    counted = []
    for _ in range(2):
        _gone(bench, _now() - timedelta(days=3))
        _gone(bench, _now() - timedelta(days=2))
        desk.get("/books/replay/?stop_after=5")
        with CaptureQueriesContext(
            connection,
        ) as taken:
            desk.get("/books/replay/?stop_after=5")
        counted.append(len(taken))
    assert counted[0] == counted[1]
    assert counted[0] <= PAGE_QUERIES


def test_replay_as_a_file_has_a_row_an_order(desk: Client, bench: SimpleNamespace) -> None:
    order = _gone(bench, _now() - timedelta(days=3))
    answer = desk.get("/books/replay/orders.csv?labour=100")
    rows = list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode("utf-8-sig"))))  # type: ignore[attr-defined]
    (row,) = rows
    assert row["Order"] == order.code
    was, would = (float(row[f"Billed, {words} (USD)"]) for words in ("as it was", "as it would have been"))
    assert was < would
    assert desk.get("/books/replay/orders.xlsx").headers["Content-Disposition"].endswith('.xlsx"')
    assert desk.get("/books/replay/orders.exe").status_code == 404


def test_replay_reads_an_agreed_quote_with_its_answer(bench: SimpleNamespace) -> None:
    at = _now() - timedelta(days=3)
    order = _gone(bench, at, answered=timedelta(hours=5))
    books = gather.open_books("year", at=_now(), back=0)
    more = extra(books).more[order.pk]
    (line,) = books.gone()
    assert (more.asked, more.gross) == (line.quoted, line.quoted)
    assert [answer.seconds for answer in more.answers] == [5 * 3600]
    assert sum(net for net, _ in more.labour) == sum(net for net, _ in more.asked_labour) > 0
    assert more.posted
    assert more.lost == 0


def test_replay_counts_as_lost_only_what_came_after_the_parcel(bench: SimpleNamespace) -> None:
    at = _now() - timedelta(days=3)
    order, other = _gone(bench, at), _gone(bench, at)
    lifecycle.hold(
        order,
        reason=SlipReason.LOST,
        by=lifecycle.staff(bench.owner),
        at=at + timedelta(days=1),
        note="No scan.",
    )
    for number, (of, when) in enumerate(
        [(order, at - timedelta(hours=1)), (order, at + timedelta(days=1)), (other, at + timedelta(days=1))]
    ):
        Cost.objects.create(
            order=of, key=f"k{number}", what="Loss", amount=40 + number, at=when, by=bench.owner
        )
    known = extra(gather.open_books("year", at=_now(), back=0)).more
    assert (known[order.pk].lost, known[other.pk].lost) == (4100, 0)


AS_OF = datetime(2026, 2, 27, 18, 0, tzinfo=UTC)


def test_replay_of_the_invented_world(db: None, settings: LazySettings) -> None:
    settings.DEMO = True
    named = world.build(as_of=AS_OF)
    seven_replay.check(gather.open_books("year", at=AS_OF, back=0), named)
