"""Station 30 on the sheet: a reading in one line, minutes, what is kept, and the finding that signs it."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from intake import lifecycle
from intake.lifecycle import staff
from intake.models import Order
from intake.stations import SlipReason, Station
from quotes.models import Finding, Reading
from shop.models import StationDraft, WorkSession
from tests.bench_orders import at_diagnosis, make_rates

FOUND = {
    "fault_class": "torn pad",
    "words": "The microphone is good. Its line is broken.",
    "idea_answer": "not",
    "mendable": "yes",
    "key": "finding-1",
}


@pytest.fixture
def order(letterhead, technician, at):
    make_rates(at)
    return at_diagnosis(by=technician, at=at)


@pytest.fixture
def bench(client, technician):
    client.force_login(technician)
    return client


def measure(bench, order, line="bias d OL", key="r1", **other):
    """As a hand does it: the line is said back, and what was said is agreed to."""
    fields = {"line": line, "key": key, **other}
    said = bench.get(f"/sheet/{order.code}/reading/understood/", fields).json()
    return bench.post(f"/sheet/{order.code}/reading/", {**fields, "echoed": said.get("sentence", "")})


def sign(bench, order, **changes):
    fields = {**FOUND, "version": order.version, **changes}
    return bench.post(f"/sheet/{order.code}/finding/", fields)


def page(bench, order):
    return bench.get(f"/sheet/{order.code}/").content.decode()


def test_reading_line_is_understood_judged_and_echoed(bench, order):
    answer = measure(bench, order, low=".441", high=".461", expected_from="own good boards")
    reading = Reading.objects.get()
    assert answer.status_code == 303
    assert (reading.special, reading.verdict, reading.low) == ("OL", "open", Decimal("0.441"))
    text = page(bench, order)
    assert "bias: diode, red on ground, over limit (OL). Open: Over limit" in text
    assert '<td class="num out" data-head="Read">OL</td>' in text


def test_limits_are_typed_in_any_spelling_of_the_reading(bench, order):
    measure(bench, order, line="main supply r 1k2", low="300", high="4k7", expected_from="schematic")
    reading = Reading.objects.get()
    assert (reading.low, reading.high, reading.verdict) == (300, 4700, "ok")


def test_open_where_open_is_expected_is_fine(bench, order):
    measure(bench, order, line="bias d OL", low="OL", expected_from="other channel of the same board")
    reading = Reading.objects.get()
    assert (reading.verdict, reading.expected_special) == ("ok", "OL")
    assert reading.expected_from == "other channel of the same board"
    assert '<td class="num" data-head="Should be"><div>OL<br>' in page(bench, order)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"line": ""}, "Type where, how and how much"),
        ({"line": "bias d twelve"}, "is not a value"),
        ({"line": ".452"}, "before the value"),
        ({"line": "x" * 10_000}, "Please keep this under 120 characters; it has 10000."),
        ({"low": "many"}, "many is not a limit for diode"),
        ({"low": "2", "high": "1"}, "The low limit is above the high one."),
        ({"low": ".4"}, "Say where the limits come from"),
        (
            {"line": "rail v 1", "state": "on supply", "supply_volts": "many"},
            "many is not a number of volts.",
        ),
        ({"verdict": "ok"}, "Say why the rule is overruled."),
        ({"line": "bias d NaN"}, "is not a value"),
    ],
)
def test_reading_that_is_not_understood_stays_typed_with_a_sentence(bench, order, given, sentence):
    answer = measure(bench, order, **{"line": "bias d .452", "meter": "bench meter", **given})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in text.replace("&#x27;", "'")
    assert 'value="bench meter"' in text
    assert not Reading.objects.exists()


def test_verdict_can_be_overruled_with_a_reason(bench, order):
    fields = {"low": ".441", "expected_from": "a guess", "verdict": "ok"}
    measure(bench, order, **fields, verdict_why="the probe slipped")
    reading = Reading.objects.get()
    assert (reading.verdict, reading.verdict_why) == ("ok", "Overruled: the probe slipped")
    assert reading.proposed == "open"
    assert "overruled; the rule says open" in page(bench, order)


def test_replaced_reading_stays_under_a_fold(bench, order):
    measure(bench, order)
    wrong = Reading.objects.get()
    measure(bench, order, line="bias d .452", key="r2", instead_of=wrong.pk)
    wrong.refresh_from_db()
    assert wrong.superseded_by.value == Decimal("0.452")
    assert "1 replaced reading" in page(bench, order)


def test_second_press_of_the_same_reading_writes_it_once(bench, order):
    for _ in range(2):
        assert measure(bench, order).status_code == 303
    assert Reading.objects.count() == 1


def test_minutes_start_and_stop_and_stand_on_the_signature(bench, order, technician, at, monkeypatch):
    monkeypatch.setattr("intake.drain.now", lambda: at)
    bench.post(f"/sheet/{order.code}/minutes/", {"go": "start"})
    assert "Looking since" in page(bench, order)
    monkeypatch.setattr("intake.drain.now", lambda: at + timedelta(minutes=18))
    sign(bench, order)
    assert WorkSession.objects.get().minutes == 18
    assert order.lines.get(station=Station.DIAGNOSIS).minutes == 18


def test_finding_signs_the_station_and_opens_the_quote(bench, order):
    assert sign(bench, order).status_code == 303
    assert Order.objects.get(pk=order.pk).station == Station.QUOTE
    assert FOUND["words"] in page(bench, order)


def test_finding_that_cannot_be_mended_opens_goods_out(bench, order):
    sign(bench, order, mendable="no")
    assert Order.objects.get(pk=order.pk).station == Station.GOODS_OUT


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"words": ""}, "Say what is wrong, in the customer"),
        ({"words": "x" * 10_000}, "Please keep this under 4000 characters; it has 10000."),
        ({"idea_answer": ""}, "The customer named a cause. Say whether it was right."),
        ({"mendable": ""}, "Say whether it can be mended."),
        ({"fault_class": ""}, "Say what kind of fault it is."),
    ],
)
def test_finding_that_is_incomplete_keeps_what_was_typed(bench, order, given, sentence):
    answer = sign(bench, order, place="left of the socket", **given)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in text
    assert 'value="left of the socket"' in text
    assert not Finding.objects.exists()


def test_finding_waits_for_the_wrong_device_slip(bench, order, technician, at):
    lifecycle.hold(order, reason=SlipReason.WRONG_DEVICE, by=staff(technician), at=at)
    answer = sign(bench, order)
    assert answer.status_code == 422
    assert "Clear that up with the customer first." in answer.content.decode()


def test_two_at_one_sheet_the_second_keeps_the_words(bench, order):
    sign(bench, order)
    late = sign(bench, order, words="Something else entirely", key="finding-2")
    assert late.status_code == 409
    assert "Something else entirely" in late.content.decode()
    assert Finding.objects.count() == 1


def test_text_is_kept_as_it_is_typed_and_gone_when_signed(bench, order):
    answer = bench.post(
        f"/sheet/{order.code}/finding/keep/",
        {"words": "Half a sent", "key": "k"},
        headers={"X-Requested-With": "benchpost"},
    )
    assert answer.json() == {"kept": True}
    assert "Half a sent</textarea>" in page(bench, order)
    sign(bench, order)
    assert not StationDraft.objects.exists()


def test_keeping_after_the_signature_says_so(bench, order):
    sign(bench, order)
    answer = bench.post(
        f"/sheet/{order.code}/finding/keep/", {"words": "x"}, headers={"X-Requested-With": "benchpost"}
    )
    assert answer.status_code == 409
    assert not StationDraft.objects.exists()


def test_keeping_without_script_comes_back_to_the_sheet(bench, order):
    answer = bench.post(f"/sheet/{order.code}/finding/keep/", {"words": "Half a sent"})
    assert answer.status_code == 303
    assert StationDraft.objects.get().fields == {"words": "Half a sent"}


def test_keys_reach_the_reading_line_the_photo_and_the_signature(bench, order):
    text = page(bench, order)
    assert 'data-key="F2" data-goes-to="reading_line"' in text
    assert 'id="reading_line"' in text
    assert 'data-key="F8" data-goes-to="fault_photo-photos"' in text
    assert 'id="fault_photo-photos"' in text
    assert 'form="finding" data-key="F9"' in text


def test_no_id_is_used_twice(bench, order):
    measure(bench, order)
    ids = re.findall(r'\bid="([^"]+)"', page(bench, order))
    assert sorted(ids) == sorted(set(ids))


def test_acts_ask_for_a_sign_in_and_a_post(client, bench, order):
    assert bench.get(f"/sheet/{order.code}/finding/").status_code == 405
    client.logout()
    answer = sign(client, order)
    assert answer.status_code == 302
    assert not Finding.objects.exists()


def test_sheet_takes_as_many_queries_with_many_readings(bench, order):
    def queries():
        with CaptureQueriesContext(connection) as taken:
            page(bench, order)
        return len(taken)

    measure(bench, order)
    page(bench, order)
    with_one = queries()
    for number in range(8):
        measure(bench, order, key=f"more{number}")
    page(bench, order)
    assert queries() == with_one
