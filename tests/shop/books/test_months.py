"""The monthly report: when it is due, that it is written once, what it says and who may read it."""

from datetime import UTC, datetime
from html import unescape
from types import SimpleNamespace
from unittest.mock import patch
from zoneinfo import ZoneInfo

import pytest
from django.test import Client

from intake.models import Letter, Letterhead, Order, Paper, Person
from intake.papers.html import pdf_from_html
from intake.stations import Station
from shop import clock
from shop.books.lines import House
from shop.books.months import collecting, month_maths, posting
from shop.books.months.paper import paper_of
from shop.models import BookReport
from shop.papers.books_month import books_month_html, books_month_pdf
from tests import walk
from tests.paper_samples import read

ANYTOWN = House("USD", 2, ZoneInfo("America/New_York"), 700_000)
# The first of March 2026 is a Sunday: the shop opens on Monday.
SUNDAY = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
MONDAY = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
LATER = datetime(2026, 3, 30, 18, 0, tzinfo=UTC)
APRIL = datetime(2026, 4, 20, 18, 0, tzinfo=UTC)


@pytest.fixture
def sent(bench: SimpleNamespace, at: datetime) -> Order:
    """An order that came and left in February."""
    return walk.to(walk.request(at=at), Station.WAY_HOME, by=bench.owner, at=at)


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def seconds(*moment: int) -> int:
    return int(datetime(*moment, tzinfo=ANYTOWN.zone).timestamp())


def test_month_runs_from_midnight_to_midnight_of_the_shop() -> None:
    window = month_maths.window_of("2026-03", now=seconds(2026, 5, 1), house=ANYTOWN)
    assert (window.since, window.until) == (seconds(2026, 3, 1), seconds(2026, 4, 1))
    # An hour is lost in that month.
    assert window.until - window.since == 31 * 86_400 - 3_600
    assert window.words == "March 2026"


def test_running_month_ends_now() -> None:
    window = month_maths.window_of("2026-05", now=seconds(2026, 5, 3), house=ANYTOWN)
    assert window.until == seconds(2026, 5, 3) + 1


def test_months_follow_each_other_over_the_year() -> None:
    assert month_maths.month_before("2026-01") == "2025-12"
    assert month_maths.month_after("2025-12") == "2026-01"
    assert month_maths.month_after("2026-01") == "2026-02"
    assert month_maths.month_of(seconds(2026, 2, 28, 23, 59), ANYTOWN) == "2026-02"
    with pytest.raises(ValueError, match="month"):
        month_maths.first_day("2026-13")


def test_report_waits_for_the_shop_to_open_and_goes_once(sent: Order) -> None:
    assert clock.tick(at=SUNDAY)["reports"] == 0
    assert clock.tick(at=MONDAY)["reports"] == 1
    assert clock.tick(at=MONDAY)["reports"] == 0
    assert clock.tick(at=LATER)["reports"] == 0
    (report,) = BookReport.objects.all()
    assert (report.month, report.as_of) == ("2026-02", MONDAY)
    letter, other = Letter.objects.filter(kind="books_month")
    assert [letter.to, other.to] == posting.addresses()
    assert letter.to == Letterhead.current().email
    assert letter.subject == "The books of February 2026"
    assert "1 device came, 1 left" in letter.text
    assert [paper.maker for paper in letter.papers.all()] == ["books_month"]


def test_missed_month_is_made_up_for_but_no_more_than_one(sent: Order) -> None:
    assert clock.tick(at=LATER)["reports"] == 1
    BookReport.objects.all().delete()
    assert clock.tick(at=APRIL)["reports"] == 0
    assert not BookReport.objects.exists()


def test_month_without_orders_has_no_report(bench: SimpleNamespace) -> None:
    assert clock.tick(at=MONDAY)["reports"] == 0
    assert not Letter.objects.filter(kind=posting.MAKER).exists()


def test_house_without_a_letterhead_has_no_report(db: None) -> None:
    assert clock.tick(at=MONDAY)["reports"] == 0


def test_second_clock_that_counted_at_the_same_time_posts_nothing(sent: Order) -> None:
    figures = collecting.collected("2026-02", at=MONDAY)
    assert posting.post(month="2026-02", figures=figures, at=MONDAY)
    assert not posting.post(month="2026-02", figures=figures | {"said": "Other."}, at=LATER)
    assert BookReport.objects.get().as_of == MONDAY
    assert Letter.objects.filter(kind="books_month").count() == len(posting.addresses())


def test_fault_of_the_report_stops_no_other_work(sent: Order) -> None:
    with patch.object(posting, "collected", side_effect=ZeroDivisionError):
        assert clock.tick(at=MONDAY)["reports"] == 0
    assert clock.tick(at=MONDAY)["reports"] == 1


def test_owners_with_an_address_get_it_too_and_nobody_twice(sent: Order, bench: SimpleNamespace) -> None:
    Person.objects.filter(pk=bench.owner.pk).update(email="ansel.rook@example.com")
    Person.objects.filter(pk=bench.technician.pk).update(email="pim.dallow@example.com")
    head = Letterhead.current().email
    assert posting.addresses() == [head, "ansel.rook@example.com"]
    Person.objects.filter(pk=bench.owner.pk).update(email=head.upper())
    assert [address.casefold() for address in posting.addresses()] == [head.casefold()]


def test_kept_figures_have_their_words_and_their_numbers(sent: Order) -> None:
    figures = collecting.collected("2026-02", at=MONDAY)
    rows = {row["key"]: row for part in figures["parts"] for row in part["figures"]}
    assert rows["time-departures"]["number"] == 1
    assert rows["margin-billed"]["value"] == "$112.00"
    assert rows["margin-billed"]["means"] and rows["margin-billed"]["open_orders"]
    assert rows["margin-billed"]["before"]
    assert "href" not in rows["margin-billed"]
    assert any(part["charts"] for part in figures["parts"])


def test_paper_says_every_figure_with_its_definition(sent: Order) -> None:
    figures = collecting.collected("2026-02", at=MONDAY)
    html = unescape(books_month_html(paper_of(figures, Letterhead.current())))
    for part in figures["parts"]:
        for row in part["figures"]:
            assert row["name"] in html
    assert "data:image/svg+xml;base64," in html
    pdf = books_month_pdf(paper_of(figures, Letterhead.current()), press=pdf_from_html)
    pages = read(pdf).pages
    words = " ".join(page.extract_text() for page in pages)
    assert "February 2026" in words and "Cash margin" in words
    assert read(pdf).trailer["/Root"]["/MarkInfo"]["/Marked"]


def test_list_leads_to_each_paper_and_the_running_month(sent: Order, desk: Client) -> None:
    assert "No month has been reported yet" in desk.get("/books/months/").content.decode()
    clock.tick(at=MONDAY)
    page = desk.get("/books/months/").content.decode()
    assert "February 2026" in page and "/books/months/2026-02.pdf" in page
    for address in ("/books/months/2026-02.pdf", "/books/months/now.pdf"):
        answer = desk.get(address)
        assert answer.headers["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF-")
    assert desk.get("/books/months/2026-01.pdf").status_code == 404
    assert BookReport.objects.count() == 1


def test_technician_reads_no_report_by_any_way(sent: Order, bench: SimpleNamespace) -> None:
    clock.tick(at=MONDAY)
    technician = Client()
    technician.force_login(bench.technician)
    paper = Paper.objects.get(maker="books_month")
    for address in (
        "/books/months/",
        "/books/months/2026-02.pdf",
        "/books/months/now.pdf",
        f"/paper/{paper.pk}/",
    ):
        assert technician.get(address).status_code == 403, address
