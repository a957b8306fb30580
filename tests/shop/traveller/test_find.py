"""The way to a sheet from anything typed or scanned."""

from datetime import datetime
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from quotes.models import Part
from tests import walk


def test_find_by_code_in_any_spelling_opens_the_sheet(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    german = order.code.replace("Y", "\0").replace("Z", "Y").replace("\0", "Z").replace("-", "ß")
    for typed in (order.code, order.code.lower(), order.code.replace("-", " "), f" {order.code}\n", german):
        assert staff.get("/find/", {"q": typed}).headers["Location"] == f"/sheet/{order.code}/"


@pytest.mark.parametrize("typed", ["B-07", "b7", "bag 7", "B-7"])
def test_find_by_bag_opens_the_sheet(staff: Client, bench: SimpleNamespace, at: datetime, typed: str) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at, bag="B-07")
    assert staff.get("/find/", {"q": typed}).url == f"/sheet/{order.code}/"


@pytest.mark.parametrize(
    "typed", ["zz-0417", "ZZ-0417", "mara", "Ellwick", "mara.ellwick@", "490154203237518"]
)
def test_find_by_serial_imei_or_person_opens_the_sheet(staff: Client, at: datetime, typed: str) -> None:
    order = walk.request(at=at, imei="490154203237518")
    assert staff.get("/find/", {"q": typed}).url == f"/sheet/{order.code}/"


def test_find_by_part_number_opens_the_stock(staff: Client) -> None:
    part = Part.objects.get(number="WIRE-002")
    assert staff.get("/find/", {"q": "wire-002"}).url == reverse("shop:part", args=[part.pk])


def test_find_of_several_lists_them(staff: Client, at: datetime) -> None:
    orders = [walk.request(at=at) for _ in range(2)]
    page = staff.get("/find/", {"q": "mara"})
    assert page.status_code == 200
    assert all(order.code in page.content.decode() for order in orders)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("nobody here", "Nothing here has that code"),
        ("K7M4-0000", "Our codes never hold the character"),
        ("a\x00b\x07", "Nothing here has that code"),
        ("x" * 5000, "Nothing here has that code"),
        ("%_%", "Nothing here has that code"),
    ],
)
def test_find_of_nothing_says_so_kindly(staff: Client, typed: str, words: str) -> None:
    answer = staff.get("/find/", {"q": typed})
    assert answer.status_code == 404
    assert words in answer.content.decode()


def test_find_without_words_asks_for_some(staff: Client) -> None:
    answer = staff.get("/find/")
    assert answer.status_code == 200
    assert "Scan a code" in answer.content.decode()
