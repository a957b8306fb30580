"""The pages of good boards and meters: a line is said back, then written; struck with a reason; offsets are new rows."""

from datetime import timedelta
from decimal import Decimal as D
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.urls import reverse

from quotes import word_changes
from quotes.models import GoodReading, Meter, MeterOffset
from quotes.word_lists import learn
from shop.knowledge.queries import points_of
from tests.quotes import good_boards

LINE = {
    "specimen": "Shelf 1",
    "board": "Z7 main",
    "revision": "B",
    "state": "unpowered, battery out",
    "meter": "Blue",
    "line": "PP1V8 d .452",
    "key": "one",
}


@pytest.fixture
def staff(technician):
    client = Client()
    client.force_login(technician)
    return client


def test_a_line_is_said_back_and_then_written(staff):
    first = staff.post(reverse("shop:take_good"), LINE)
    assert first.status_code == 200
    assert "PP1V8: diode, red on ground, 0.452 volt." in first.content.decode()
    assert not GoodReading.objects.exists()
    echoed = first.context["form"]["echoed"].value()
    second = staff.post(reverse("shop:take_good"), {**LINE, "echoed": echoed})
    assert second.status_code == 303
    row = GoodReading.objects.get()
    assert (row.value, row.board, row.state) == (D("0.452"), "Z7 main", "unpowered, battery out")
    stays = parse_qs(urlsplit(second["Location"]).query)
    assert stays == {name: [LINE[name]] for name in ("specimen", "board", "revision", "state", "meter")}
    page = staff.get(second["Location"]).content.decode()
    assert 'value="Shelf 1"' in page
    assert "Written: PP1V8" in page


def test_a_sentence_agreed_to_is_that_of_this_line(staff):
    first = staff.post(reverse("shop:take_good"), LINE)
    echoed = first.context["form"]["echoed"].value()
    staff.post(reverse("shop:take_good"), {**LINE, "line": "PP1V8 d .542", "echoed": echoed})
    assert not GoodReading.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"line": "PP1V8 .452"}, "Say how it was measured"),
        ({"specimen": ""}, "its label"),
        ({"line": "PP1V8 d unstable"}, "does not stand still"),
    ],
)
def test_what_is_wrong_stays_typed_with_a_sentence(staff, wrong, words):
    answer = staff.post(reverse("shop:take_good"), {**LINE, **wrong})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert 'value="Z7 main"' in answer.content.decode()


def test_the_board_shows_its_points_and_where_they_rest(staff, technician, at, letterhead):
    for number, value in enumerate(("0.450", "0.451")):
        good_boards.kept_apart(f"Shelf {number}", value, by=technician, at=at)
    mended = good_boards.mended("0.453", by=technician, at=at)
    page = staff.get(reverse("shop:good_boards"), {"board": "z7-main"}).content.decode()
    assert "0.451 V" in page
    assert "0.4375 – 0.4645 V" in page
    assert reverse("shop:sheet", args=[mended.order.code]) in page
    assert page.count("Strike<") == 2


def test_a_board_takes_three_queries_however_many_points(technician, at, django_assert_num_queries):
    for number in range(12):
        good_boards.kept_apart("Shelf 1", "0.450", by=technician, at=at, point=f"PP{number}")
    with django_assert_num_queries(3):
        assert len(points_of("Z7 main")) == 12


def test_doubles_go_by_the_word_that_stays(technician, at):
    good_boards.kept_apart("Shelf 1", "0.450", by=technician, at=at, point="Microphone bias")
    good_boards.kept_apart("Shelf 2", "0.451", by=technician, at=at + timedelta(minutes=1), point="Mic bias")
    stays, double = (
        learn(kind="point", text=text, within="Z7 main", by=technician, at=at)
        for text in ("Microphone bias", "Mic bias")
    )
    word_changes.merge(word=double, into=stays, by=technician, at=at)
    assert [(row.point, row.n) for row in points_of("Z7 main")] == [("Microphone bias", 2)]


def test_a_reading_is_struck_with_a_reason(staff, technician, at):
    row = good_boards.kept_apart("Shelf 1", "0.450", by=technician, at=at)
    url = reverse("shop:strike_good", args=[row.pk])
    assert staff.get(url).status_code == 200
    assert staff.post(url, {"why": ""}).status_code == 422
    assert staff.post(url, {"why": "wrong board"}).status_code == 303
    row.refresh_from_db()
    assert row.struck_why == "wrong board"
    page = staff.get(reverse("shop:good_boards"), {"board": "Z7 main"}).content.decode()
    assert "wrong board" in page
    assert staff.post(url, {"why": "again"}).status_code == 422


def test_a_meter_and_its_offset_are_written_down(staff):
    answer = staff.post(reverse("shop:meters"), {"name": "Blue", "note": "left drawer"})
    assert answer.status_code == 303
    page = reverse("shop:meter", args=[Meter.objects.get().pk])
    assert staff.post(page, {"mode": "diode", "amount": "two", "why": "x"}).status_code == 422
    assert (
        staff.post(page, {"mode": "diode", "amount": "-4m", "why": "beside the red one"}).status_code == 303
    )
    assert MeterOffset.objects.get().amount == D("-0.004")
    assert "-0.004 V" in staff.get(page).content.decode()
    assert "-0.004 V" in staff.get(reverse("shop:meters")).content.decode()
    assert staff.post(reverse("shop:meters"), {"name": "blue"}).status_code == 422


def test_a_meter_goes_out_of_use_and_back(staff):
    row = Meter.objects.create(name="Blue")
    url = reverse("shop:switch_meter", args=[row.pk])
    assert staff.get(url).status_code == 405
    staff.post(url, {"active": "0"})
    row.refresh_from_db()
    assert not row.active
    staff.post(url, {"active": "1"})
    row.refresh_from_db()
    assert row.active


@pytest.mark.parametrize("name", ["good_boards", "meters", "wire"])
def test_strangers_are_asked_to_sign_in(db, name):
    assert Client().get(reverse(f"shop:{name}")).status_code == 302
