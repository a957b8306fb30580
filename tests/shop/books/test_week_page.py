"""The first page of the books: who may read it, what it says, and how many queries it takes."""

import re
from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake import drain
from intake.models import Order
from intake.stations import Station
from shop.books.gather import open_books
from shop.books.time import queries
from shop.books.week.choice import SECTIONS
from shop.books.week.page import gathered
from shop.models import BookLine
from tests import walk


@pytest.fixture
def desk(bench: SimpleNamespace, at: datetime, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setattr(drain, "now", lambda: at + timedelta(hours=5))
    client = Client()
    client.force_login(bench.owner)
    return client


def sent(bench: SimpleNamespace, at: datetime) -> Order:
    return walk.to(walk.request(at=at), Station.WAY_HOME, by=bench.owner, at=at)


def test_week_is_the_owners_alone(bench: SimpleNamespace) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get("/books/").status_code == 403
    assert Client().get("/books/").status_code == 302
    owner = Client()
    owner.force_login(bench.owner)
    assert owner.post("/books/").status_code == 405


def test_week_of_an_empty_shop_says_what_will_fill_it(desk: Client) -> None:
    page = desk.get("/books/").content.decode()
    assert "No order has come and gone yet" in page
    assert "Figures show here from the day the first parcel is taken in" in page
    assert 'class="weekly"' not in page


def test_week_of_one_order_says_it_in_words_and_figures(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    sent(bench, at)
    page = desk.get("/books/").content.decode()
    # Billed 112.00 without tax; wire 0.09, post 9.40 and 75 minutes at 0.70 leave 50.01.
    assert (
        "1 device came, 1 left; the one promise was kept; the week brought $50.01 after every cost." in page
    )
    for words in ("$112.00", "$102.51", "$50.01", "1 of 1"):
        assert words in page
    # Thirteen weeks hold one order: 112.00 / 13 a week.
    assert "$8.62" in page


def test_every_chosen_figure_and_table_is_there(bench: SimpleNamespace, at: datetime) -> None:
    sent(bench, at)
    week = gathered(at=at + timedelta(hours=5))
    for section in SECTIONS:
        assert {row.key for row in section.rows} <= week.found[0].keys(), section.key
        assert {row.key for row in section.rows if row.kind != "now"} <= week.found[2].keys(), section.key
        assert not section.table or section.table in week.tables
        keys = [column.key for column in week.tables[section.table].columns] if section.table else []
        assert set(section.columns) <= set(keys), section.key


def test_every_definition_stands_on_screen_and_as_a_note_on_paper(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    sent(bench, at)
    page = desk.get("/books/").content.decode()
    rows = sum(len(section.rows) for section in SECTIONS)
    notes = re.findall(r"<li>.*?</li>", page.split('class="paper-only notes"')[1], re.DOTALL)
    assert len(notes) == rows
    assert page.count("<sup") == rows
    body = page.split('class="weekly"')[1].split('class="paper-only notes"')[0]
    assert body.count("<dt>") == rows


def test_each_link_of_the_week_leads_to_a_page(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    sent(bench, at)
    walk.receive(walk.request(at=at), by=bench.owner, at=at)
    page = desk.get("/books/").content.decode().split('id="content"')[1].split("<footer")[0]
    found = {link.replace("&amp;", "&") for link in re.findall(r'href="(/[^"]+)"', page)}
    assert len(found) > 15
    for link in sorted(found):
        assert desk.get(link).status_code == 200, link


def test_week_takes_as_many_queries_whatever_the_number_of_orders(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    counts = []
    for _ in range(3):
        sent(bench, at)
        walk.receive(walk.request(at=at), by=bench.owner, at=at)
        desk.get("/books/")
        with CaptureQueriesContext(connection) as seen:
            assert desk.get("/books/").status_code == 200
        counts.append(len(seen))
    assert len(set(counts)) == 1, counts


def test_usual_days_of_the_year_are_those_of_the_page_of_time(bench: SimpleNamespace, at: datetime) -> None:
    """Added up by the database here, one by one there."""
    for hours in (0, 1, 30, 75):
        order = sent(bench, at)
        line = BookLine.objects.get(order=order)
        BookLine.objects.filter(pk=line.pk).update(left=line.arrived + hours * 3600 + hours)
    walk.receive(walk.request(at=at), by=bench.owner, at=at)
    books = open_books("week", at=at + timedelta(days=5))
    brief, whole = queries.brief(books), queries.extra(books)
    assert brief.usual == whole.usual
    assert brief.usual.orders == 5 and brief.usual.running == 1
    assert brief.slips == whole.slips
