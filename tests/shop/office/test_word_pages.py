"""The pages of the shop's lists: anybody adds, the owner merges after a look, and what was typed stays."""

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from intake.stations import Station
from quotes import word_changes
from quotes.models import ListWord, QuoteLine, Reading, Remedy
from tests import walk


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


@pytest.fixture
def bench_hand(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.technician)
    return client


@pytest.fixture
def words(bench: SimpleNamespace, at: dt.datetime) -> SimpleNamespace:
    act = {"by": bench.owner, "at": at}
    walk.to(walk.request(at=at), Station.QUOTE, by=bench.technician, at=at)
    ripped = word_changes.add(kind="fault", name="torn pads", **act)
    return SimpleNamespace(torn=ListWord.objects.get(name="torn pad"), ripped=ripped, act=act)


def text(client: Client, address: str, status: int = 200, **given: Any) -> str:
    answer = client.get(address, given)
    assert answer.status_code == status
    return answer.content.decode()


@pytest.mark.parametrize("kind", ["family", "board", "revision", "point", "fault", "symptom"])
def test_list_page_shows_words_with_their_uses(words: SimpleNamespace, bench_hand: Client, kind: str) -> None:
    page = text(bench_hand, f"/settings/lists/{kind}/")
    shown = {"family": "1 order", "symptom": "1 order", "fault": "1 finding", "point": "1 reading"}
    assert shown.get(kind, "Add a word") in page


def test_list_page_of_no_list_is_not_found(bench_hand: Client) -> None:
    assert bench_hand.get("/settings/lists/nothing/").status_code == 404


def test_anybody_of_the_bench_adds_a_word(bench_hand: Client) -> None:
    given = {"name": "PP 1V8", "board": "ZB-1", "nominal_volts": "1.8"}
    assert bench_hand.post("/settings/lists/point/", given).status_code == 303
    assert "carries 1.8 V" in text(bench_hand, "/settings/lists/point/")
    again = bench_hand.post("/settings/lists/point/", {**given, "name": "pp-1v8"})
    assert again.status_code == 422
    assert "already, as PP 1V8" in again.content.decode() and 'value="pp-1v8"' in again.content.decode()


@pytest.mark.parametrize("deed", ["rename", "volts", "retire", "merge", "part"])
def test_a_technician_changes_no_word(words: SimpleNamespace, bench_hand: Client, deed: str) -> None:
    answer = bench_hand.post(
        f"/settings/lists/word/{words.torn.pk}/{deed}/", {"name": "x", "stays": words.ripped.pk}
    )
    assert answer.status_code == 403
    assert "Look what changes" not in text(bench_hand, f"/settings/lists/word/{words.torn.pk}/")


def test_merge_says_first_what_changes_and_can_be_taken_back(words: SimpleNamespace, desk: Client) -> None:
    assert "look at merging them" in text(desk, "/settings/lists/fault/")
    address = f"/settings/lists/word/{words.torn.pk}/merge/"
    looked = text(desk, address, into="Torn Pads")
    assert "torn pad, now</dt><dd>1 finding" in looked and "torn pads, then</dt><dd><b>1 finding" in looked
    assert not ListWord.objects.filter(merged_into__isnull=False).exists(), "looking changes nothing"
    assert desk.post(address, {"stays": words.ripped.pk}).status_code == 303
    listed = text(desk, "/settings/lists/fault/")
    assert f'<a href="/settings/lists/word/{words.torn.pk}/">torn pad</a></td>' in listed
    assert desk.post(f"/settings/lists/word/{words.torn.pk}/part/").status_code == 303
    assert not ListWord.objects.filter(merged_into__isnull=False).exists()


@pytest.mark.parametrize(
    "into, sentence",
    [("", "Type the one that stays"), ("no such", "No such word"), ("Torn-pad", "count as one already")],
)
def test_merge_into_nothing_is_said_beside_the_field(
    words: SimpleNamespace, desk: Client, into: str, sentence: str
) -> None:
    page = text(desk, f"/settings/lists/word/{words.torn.pk}/merge/", 422, into=into)
    assert sentence in page and f'value="{into}"' in page or not into


def test_merge_pressed_twice_changes_nothing_more(words: SimpleNamespace, desk: Client) -> None:
    address = f"/settings/lists/word/{words.torn.pk}/merge/"
    desk.post(address, {"stays": words.ripped.pk})
    again = desk.post(address, {"stays": words.ripped.pk})
    assert again.status_code == 422 and "Take that back first" in again.content.decode()


def test_word_is_renamed_given_volts_and_retired(desk: Client, words: SimpleNamespace) -> None:
    point = ListWord.objects.get(kind="point")
    typed = Reading.objects.get().point
    page = f"/settings/lists/word/{point.pk}"
    assert desk.post(f"{page}/volts/", {"nominal_volts": "nonsense"}).status_code == 422
    assert desk.post(f"{page}/volts/", {"nominal_volts": "1,8"}).status_code == 303
    assert "1.8 V" in text(desk, f"{page}/")
    assert desk.post(f"{page}/retire/", {"retired": "1"}).status_code == 303
    assert "no longer" in text(desk, f"{page}/")
    assert desk.post(f"{page}/rename/", {"name": ""}).status_code == 422
    answer = desk.post(f"{page}/rename/", {"name": "another point"})
    new = ListWord.objects.get(name="another point")
    assert answer["Location"] == f"/settings/lists/word/{new.pk}/"
    assert "1 reading" in text(desk, answer["Location"]) and Reading.objects.get().point == typed


def test_remedies_are_merged_after_a_look_and_taken_back(
    bench: SimpleNamespace, desk: Client, at: dt.datetime
) -> None:
    walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    goes = QuoteLine.objects.exclude(remedy=None).get().remedy
    stays = Remedy.objects.create(name="Bridge the torn line", minutes=20)
    assert "Bridge the torn line" in text(desk, "/settings/lists/remedies/")
    address = f"/settings/lists/remedies/{goes.pk}/merge/"
    assert "1 line of a quote" in text(desk, address, into=stays.pk)
    assert desk.post(address, {"into": stays.pk}).status_code == 303
    goes.refresh_from_db()
    assert (goes.merged_into, goes.active) == (stays, False)
    assert QuoteLine.objects.exclude(remedy=None).get().remedy == goes, "a quote stays as it is"
    again = desk.post(address, {"into": stays.pk})
    assert again.status_code == 422 and "Take that back first" in again.content.decode()
    assert desk.post(f"/settings/lists/remedies/{goes.pk}/part/").status_code == 303
    goes.refresh_from_db()
    assert goes.active
