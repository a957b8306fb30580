"""The count of the bags at close: scanned one by one, compared with the sheets, signed once and kept."""

import re

import pytest
from django.test import Client

from intake.models import HistoryEntry, Order
from intake.stations import Station
from shop.models import BagCount
from tests import walk


@pytest.fixture
def desk(bench):
    client = Client()
    client.force_login(bench.technician)
    return client


@pytest.fixture
def orders(bench, at):
    """Two bags on the shelf, one that has left."""
    stations = (Station.DIAGNOSIS, Station.GOODS_OUT, Station.WAY_HOME)
    made = [walk.to(walk.request(at=at), station, by=bench.technician, at=at) for station in stations]
    for number, order in enumerate(made, start=1):
        Order.objects.filter(pk=order.pk).update(bag=f"B-{number:02d}")
        order.refresh_from_db()
    return made


def page(desk):
    return desk.get("/bench/bags/").content.decode()


def scan(desk, *typed):
    return [desk.post("/bench/bags/scan/", {"bag": one}) for one in typed][-1]


def sign(desk, note=""):
    key = re.search(r'name="key" value="([^"]+)"', page(desk))[1]
    return desk.post("/bench/bags/sign/", {"key": key, "note": note})


def test_all_here_is_signed_and_said_on_the_day_sheet(desk, orders):
    assert "0 of 2 bags found" in page(desk)
    assert scan(desk, "b1", orders[1].code.lower(), "B-01").status_code == 303
    assert "2 of 2 bags found" in page(desk)
    assert sign(desk).status_code == 303
    count = BagCount.objects.get()
    assert (count.expected, count.found, count.missing, count.extra) == (
        ["B-01", "B-02"],
        ["B-01", "B-02"],
        [],
        [],
    )
    assert "all 2 here" in desk.get("/bench/").content.decode()
    assert HistoryEntry.objects.get(what="bags counted").facts["missing"] == []
    assert "0 of 2 bags found" in page(desk)


def test_what_differs_says_what_to_do_and_needs_a_word(desk, orders):
    scan(desk, "2", "3", "44")
    text = page(desk)
    assert "1 of 2 bags found, 2 not expected" in text
    assert "Look at the bench, and ask who signed last." in text
    assert f"By its sheet {orders[2].code} it has left." in text
    assert "No sheet has this bag." in text
    refused = sign(desk)
    assert refused.status_code == 422
    assert "Say in a few words what was done" in refused.content.decode()
    assert not BagCount.objects.exists()
    assert sign(desk, note="Looked everywhere").status_code == 303
    count = BagCount.objects.get()
    assert (count.missing, count.extra, count.note) == (["B-01"], ["B-03", "B-44"], "Looked everywhere")
    assert "1 missing: B-01; 2 not expected: B-03, B-44" in desk.get("/bench/").content.decode()


@pytest.mark.parametrize("typed", ["", "ZZZZ-ZZZZ", "screwdriver", "<b>"])
def test_what_is_no_bag_is_refused_beside_the_field_and_stays_typed(desk, orders, typed):
    answer = scan(desk, typed)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert 'id="id_bag_error"' in text and (typed in text or typed == "<b>")


def test_order_without_a_bag_says_so(desk, orders, at):
    bare = walk.request(at=at)
    assert f"{bare.code} has no bag" in scan(desk, bare.code).content.decode()


def test_scanned_by_mistake_is_taken_off_and_all_begun_again(desk, orders):
    scan(desk, "1", "2", "9")
    desk.post("/bench/bags/off/", {"bag": "B-09"})
    assert "2 of 2 bags found." in page(desk)
    desk.post("/bench/bags/off/")
    assert "0 of 2 bags found." in page(desk)


def test_count_pressed_twice_is_one_count(desk, orders):
    scan(desk, "1", "2")
    given = {"key": re.search(r'name="key" value="([^"]+)"', page(desk))[1], "note": ""}
    for _ in range(2):
        assert desk.post("/bench/bags/sign/", given).status_code == 303
    assert BagCount.objects.count() == 1


def test_looking_counts_nothing_and_strangers_stay_out(desk, client, orders):
    page(desk)
    assert not BagCount.objects.exists()
    assert desk.get("/bench/bags/scan/").status_code == 405
    assert client.get("/bench/bags/").status_code == 302
    assert client.post("/bench/bags/sign/", {"key": "k"}).status_code == 302
    assert not BagCount.objects.exists()


def test_page_takes_as_many_queries_whatever_the_number_of_bags(
    desk, bench, orders, at, django_assert_num_queries
):
    with django_assert_num_queries(6):
        page(desk)
    for _ in range(5):
        walk.receive(walk.request(at=at), by=bench.technician, at=at)
    scan(desk, *map(str, range(1, 20)))
    with django_assert_num_queries(6):
        page(desk)


def test_bag_scanned_once_more_is_said_and_counts_once(desk, orders):
    scan(desk, "B-01", "B-02", "B-01")
    text = page(desk)
    assert "2 of 2 bags found" in text and "Last: <b>B-01</b>" in text
