"""Books of shops out of the ordinary: nothing there, one order, words that are markup, currencies without cents, far zones."""

import json
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake import house
from intake.models import Customer, Letterhead, Order
from intake.stations import Station
from shop.books import as_json, finding, reading_keys
from shop.books.recount import recount
from shop.books.table_files import plain_rows
from tests import walk

AT = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)
PAGES = (
    "/books/", "/books/time/", "/books/margin/", "/books/promises/", "/books/owed/", "/books/replay/", "/books/orders/",
    "/books/tables/", "/books/months/", "/settings/hours/", "/settings/reading-keys/",
)  # fmt: skip
MARKUP = "<script>alert('1')</script>\"&amp;"


def _owner(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def _strict(body: str) -> object:
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    return json.loads(body, parse_constant=refuse)


def _all_read(bench: SimpleNamespace, at: datetime, periods: tuple[str, ...] = ("week", "all")) -> str:
    """Every page of every period, and all figures and tables as another program reads them; what the pages said."""
    said = ""
    _, key = reading_keys.make_key(name=f"Odd {at}", by=bench.owner, at=at)
    with time_machine.travel(at, tick=False):
        client = _owner(bench)
        for period in periods:
            for page in PAGES:
                answer = client.get(page, {"period": period})
                assert answer.status_code == 200, page
                said += answer.content.decode()
            answer = Client().get(
                "/books/figures.json", {"period": period}, headers={"Authorization": f"Bearer {key}"}
            )
            _strict(answer.content.decode())
            books = finding.open_period(period, at=at)
            for _, tables in finding.tables(books):
                for table in tables:
                    rows = [row for block in plain_rows(table, books, finding.naming) for row in block]
                    _strict(json.dumps(as_json.table(table, rows, books)))
        assert client.get("/books/months/now.pdf").content.startswith(b"%PDF")
    return said


def _house(**changes: str) -> None:
    head = Letterhead.current()
    Letterhead.objects.filter(pk=head.pk).update(**changes)
    house.forget_house()


def test_empty_shop_has_every_page(bench: SimpleNamespace) -> None:
    assert "NaN" not in _all_read(bench, AT)


def test_shop_with_one_request_that_never_came(bench: SimpleNamespace) -> None:
    walk.request(at=AT)
    _all_read(bench, AT + timedelta(hours=1), ("all",))


@pytest.mark.parametrize("station", [Station.DIAGNOSIS, Station.GO_AHEAD, Station.HOME])
def test_one_order_alone(bench: SimpleNamespace, station: Station) -> None:
    walk.to(walk.request(at=AT), station, by=bench.owner, at=AT)
    _all_read(bench, AT, ("all",))
    _all_read(bench, AT + timedelta(days=40), ("week",))
    assert recount().faults == []


@pytest.mark.parametrize(("currency", "zone"), [("JPY", "Pacific/Auckland"), ("KWD", "America/Los_Angeles")])
def test_currencies_without_and_with_more_digits(bench: SimpleNamespace, currency: str, zone: str) -> None:
    _house(currency=currency, zone=zone)
    walk.to(walk.request(at=AT), Station.HOME, by=bench.owner, at=AT)
    _all_read(bench, AT + timedelta(days=1), ("week",))
    assert recount().faults == []


def test_names_that_are_markup_stay_text(bench: SimpleNamespace) -> None:
    for number in range(2):
        order = walk.request(at=AT, make=f"<b>{number}", model=MARKUP, name=MARKUP)
        walk.to(order, Station.HOME, by=bench.owner, at=AT)
    walk.to(
        walk.request(at=AT, make="<b>9", model=MARKUP, name=MARKUP), Station.GO_AHEAD, by=bench.owner, at=AT
    )
    Customer.objects.update(trade=True, name=MARKUP)
    assert Order.objects.count() == 3
    said = _all_read(bench, AT + timedelta(days=40), ("all",))
    assert "<script>alert" not in said and "<b>0" not in said and "<b>9" not in said


def test_pages_write_nothing(bench: SimpleNamespace) -> None:
    walk.to(walk.request(at=AT), Station.HOME, by=bench.owner, at=AT)
    with time_machine.travel(AT + timedelta(days=1), tick=False):
        client = _owner(bench)
        with CaptureQueriesContext(connection) as seen:
            for page in PAGES:
                assert client.get(page).status_code == 200
    verbs = {row["sql"].lstrip().split()[0].upper() for row in seen.captured_queries}
    # DECLARE opens a reading cursor of PostgreSQL.
    assert verbs <= {"SELECT", "SAVEPOINT", "RELEASE", "DECLARE"}
