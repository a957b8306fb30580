"""Orders like this one on the sheet at 30: what they turned out to be, a guess with its count, and how often it was right."""

import dataclasses
import datetime as dt
import re
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake.models import Order
from intake.stations import Station
from quotes import diagnosis, word_changes
from quotes.models import Finding, ListWord
from shop.books.outcome_maths import Rate
from shop.demo.steps import BAD
from shop.seen import hits
from shop.seen.cases import seen
from shop.seen.panel import panel
from tests import walk


@pytest.fixture(autouse=True)
def _nothing_kept_over(db: None) -> None:
    cache.clear()


@pytest.fixture
def hand(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.technician)
    return client


@pytest.fixture
def act(bench: SimpleNamespace, at: dt.datetime) -> dict[str, Any]:
    return {"by": bench.technician, "at": at}


def finished(
    act: dict[str, Any], fault: str = "torn pad", station: Station = Station.GOODS_OUT, **answers: Any
) -> Order:
    order = walk.to(walk.request(at=act["at"], **answers), Station.DIAGNOSIS, **act)
    walk.find(order, **act, fault_class=fault)
    return walk.to(order, station, **act)


def fresh(act: dict[str, Any], **answers: Any) -> Order:
    return walk.to(walk.request(at=act["at"], **answers), Station.DIAGNOSIS, **act)


def page(client: Client, order: Order) -> str:
    answer = client.get(f"/sheet/{order.code}/")
    assert answer.status_code == 200
    return answer.content.decode()


def test_panel_without_a_finished_order_says_so(act: dict[str, Any], hand: Client) -> None:
    finished(act, station=Station.REPAIR)
    finished(act, kind="tablet")
    text = page(hand, fresh(act))
    assert "No finished order of this kind of device yet" in text and "They point to" not in text


def test_panel_shows_like_orders_and_a_guess_that_fills_in_nothing(act: dict[str, Any], hand: Client) -> None:
    like, other = (
        finished(act),
        finished(act, "liquid corrosion", symptoms=["It fell into water"], make="Oblivu"),
    )
    order = fresh(act)
    diagnosis.take_reading(order=order, measured=BAD, key="r", **act)
    text = page(hand, order)
    assert text.index(f"/sheet/{like.code}/") < text.index(f"/sheet/{other.code}/")
    assert "They point to <b>torn pad</b>: found in 1 of the 2 most alike" in text
    assert '<p class="small">They point to' in text, "two orders are few: the guess is grey"
    assert "From 2 own orders: a guess, not proof" in text
    assert "Fit jumper wire" in text and '<td data-head="Ended">fixed</td>' in text
    assert 'name="suggested" value="torn pad"' in text
    (field,) = re.findall(r'<input[^>]*name="fault_class"[^>]*>', text)
    assert "value=" not in field, "a guess is never filled in"


def test_panel_rests_on_no_few_orders_in_ink(act: dict[str, Any], hand: Client) -> None:
    for _ in range(5):
        finished(act)
    assert '<p class="plain">They point to' in page(hand, fresh(act))


def test_verdicts_at_the_same_place_bring_an_order_nearer(act: dict[str, Any]) -> None:
    finished(act)
    order = fresh(act)
    before = panel(order)["like"][0].percent
    diagnosis.take_reading(order=order, measured=dataclasses.replace(BAD, verdict="ok"), key="r", **act)
    assert panel(order)["like"][0].percent < before
    diagnosis.take_reading(order=order, measured=BAD, key="r2", instead_of=order.readings.get(), **act)
    assert panel(order)["like"][0].percent == 100


def test_suggestion_counts_doubles_as_one_word(act: dict[str, Any]) -> None:
    for fault in ("ripped pad", "torn pad", "liquid corrosion", "liquid corrosion"):
        finished(act, fault)
    order = fresh(act)
    assert panel(order)["suggested"] == "liquid corrosion"
    finished(act, "torn pad")
    ripped, torn = (ListWord.objects.get(kind="fault", name=name) for name in ("ripped pad", "torn pad"))
    word_changes.merge(word=ripped, into=torn, **act)
    told = panel(order)
    assert (told["suggested"], told["votes"]) == ("torn pad", 3)


def test_second_fault_is_not_what_the_diagnosis_found(act: dict[str, Any], bench: SimpleNamespace) -> None:
    order = finished(act)
    late = act["at"] + dt.timedelta(days=1)
    Finding.objects.create(
        order=order,
        key="second",
        fault_class="cracked joint",
        words="x",
        mendable="yes",
        by=bench.technician,
        at=late,
    )
    assert [case.fault for case in seen("phone").cases] == ["tornpad"]


def test_suggestion_that_stood_on_the_sheet_is_kept_and_counted(act: dict[str, Any], hand: Client) -> None:
    finished(act)
    for number, fault in enumerate(("Torn-Pad", "liquid corrosion")):
        order = fresh(act)
        answer = hand.post(
            f"/sheet/{order.code}/finding/",
            {
                "fault_class": fault, "words": "Its line is broken.", "idea_answer": "not", "mendable": "yes",
                "symptom_0": "yes", "suggested": "torn pad", "key": f"f{number}", "version": order.version,
            },
        )  # fmt: skip
        assert answer.status_code == 303, answer.content.decode()
    assert list(Finding.objects.order_by("pk").values_list("suggested", flat=True)) == [
        "",
        "torn pad",
        "torn pad",
    ]
    assert hits.stood() == Rate(1, 2)


def test_hit_rate_leaves_each_order_out_in_turn(act: dict[str, Any], hand: Client) -> None:
    for fault in ("torn pad", "torn pad", "torn pad", "liquid corrosion"):
        finished(act, fault)
    assert hits.hits_of("phone").left_out == Rate(3, 4)
    text = hand.get("/bench/seen/").content.decode()
    assert "3 of 4" in text and 'class="pale"' in text
    finished(act, "liquid corrosion")
    assert hits.hits_of("phone").left_out == Rate(3, 4), "a sheet makes do with the last count"
    # Three against two: without the one asked about, the others are even or speak for the other fault.
    assert hits.hits_of("phone", exact=True).left_out == Rate(0, 5)


def test_page_of_the_hit_rate_without_orders_says_so(hand: Client) -> None:
    assert "No finished orders yet" in hand.get("/bench/seen/").content.decode()


def test_panel_asks_no_more_for_more_orders(act: dict[str, Any]) -> None:
    finished(act)
    order = fresh(act)
    with CaptureQueriesContext(
        connection,
    ) as few:
        panel(order)
    for _ in range(5):
        finished(act)
    with CaptureQueriesContext(connection) as many:
        panel(order)
    assert len(many) <= len(few) <= 30
