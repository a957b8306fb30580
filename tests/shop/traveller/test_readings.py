"""The reading line: said back before it counts, judged by own good boards, guarded, replaced, kept as it stood."""

import json
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from intake.models import HistoryEntry, Order, Photo
from intake.stations import Station
from quotes import diagnosis, word_lists
from quotes.diagnosis import Measured
from quotes.list_words import fold
from quotes.models import GoodReading, ListWord, Meter, Reading
from quotes.refusals import Refused
from shop.makers import sheet_paper
from shop.models import PhotoMark
from shop.traveller import sticky
from tests.bench_orders import at_diagnosis, make_rates

BY_SCRIPT = {"X-Requested-With": "benchpost"}


@pytest.fixture
def order(letterhead, technician, at):
    make_rates(at)
    return at_diagnosis(by=technician, at=at)


@pytest.fixture
def bench(client, technician):
    client.force_login(technician)
    return client


def heard(bench, order, line, **other):
    return bench.get(f"/sheet/{order.code}/reading/understood/", {"line": line, **other}).json()


def post(bench, order, line, *, where="reading", key="r1", headers=None, **other):
    fields = {"line": line, "key": key, **other}
    return bench.post(f"/sheet/{order.code}/{where}/", fields, headers=headers or {})


def write(bench, order, line, **other):
    where = other.pop("where", "reading")
    agreed = {name: value for name, value in other.items() if name not in ("key", "headers")}
    said = heard(bench, order, line, **agreed)
    assert "sentence" in said, said
    return post(bench, order, line, where=where, echoed=said["sentence"], **other)


def good_board(by, at, *values, point="boost out"):
    for number, value in enumerate(values):
        GoodReading.objects.create(
            key=f"{point}-{number}", specimen=f"G{number}", board="Z7 main", point=point, mode="diode",
            polarity="red on ground", value=None if value == "OL" else Decimal(value),
            special="OL" if value == "OL" else "", unit="V", typed=f"{point} d {value}", at=at, by=by,
        )  # fmt: skip


def page(bench, order):
    return bench.get(f"/sheet/{order.code}/").content.decode()


def test_line_is_said_back_and_nothing_is_written(bench, order):
    said = heard(bench, order, "boost out d .452")
    assert said["sentence"].startswith("boost out: diode, red on ground, 0.452 volt.")
    assert (said["verdict"], said["out"]) == ("no own reading yet", False)
    assert not Reading.objects.exists() and not ListWord.objects.exists()


def test_line_that_is_not_understood_is_said_so(bench, order):
    assert "is not a value" in heard(bench, order, "boost out d twelve")["error"]
    assert heard(bench, order, "")["field"] == "line"


def test_without_script_one_press_says_it_back_and_one_more_writes_it(bench, order):
    first = post(bench, order, "boost out d .452", meter="bench meter")
    text = first.content.decode()
    assert first.status_code == 200
    assert "Understood as: boost out: diode, red on ground, 0.452 volt." in text
    assert 'value="boost out d .452"' in text and "autofocus" in text
    assert not Reading.objects.exists()
    again = post(
        bench, order, "boost out d .452", meter="bench meter", echoed=first.context["reading_form"].sentence
    )
    assert again.status_code == 303
    assert Reading.objects.get().meter == "bench meter"


def test_sentence_of_another_line_writes_nothing(bench, order):
    said = heard(bench, order, "boost out d .452")["sentence"]
    assert post(bench, order, "boost out d 4.52", echoed=said).status_code == 200
    by_script = post(bench, order, "boost out d 4.52", echoed=said, headers=BY_SCRIPT).json()
    assert "4.52 volt" in by_script["sentence"] and "written" not in by_script
    assert not Reading.objects.exists()


def test_script_gets_the_fresh_table(bench, order):
    answer = write(bench, order, "boost out d .452", headers=BY_SCRIPT).json()
    assert answer["written"] is True
    assert answer["html"].lstrip().startswith('<div id="readings">') and "0.452 V" in answer["html"]


def test_same_key_writes_once_whatever_was_said_back(bench, order):
    write(bench, order, "boost out d .452", headers=BY_SCRIPT)
    again = post(bench, order, "boost out d .452", echoed="another sentence", headers=BY_SCRIPT).json()
    assert again["written"] is True
    assert Reading.objects.count() == 1


def test_three_own_good_boards_judge_with_their_number(bench, order, technician, at):
    good_board(technician, at, ".450", ".452", ".454")
    write(bench, order, "boost out d .002", board="Z7 main")
    reading = Reading.objects.get()
    assert (reading.proposed, reading.verdict, reading.expected_n) == ("short", "short", 3)
    assert reading.expected_from == "own good boards, n=3"
    assert reading.low < Decimal("0.452") < reading.high
    assert "own good boards, n=3" in page(bench, order)


def test_two_own_good_boards_are_too_few_and_said(bench, order, technician, at):
    good_board(technician, at, ".450", ".452")
    said = heard(bench, order, "boost out d .002", board="Z7 main")
    assert said["verdict"] == "no own reading yet"
    assert "Only 2 own good boards so far" in said["sentence"]


def test_good_boards_that_show_ol_expect_ol(bench, order, technician, at):
    good_board(technician, at, "OL", "OL", "OL")
    write(bench, order, "boost out d .3", board="Z7 main")
    reading = Reading.objects.get()
    assert (reading.expected_special, reading.verdict, reading.low) == ("OL", "low", None)


def test_limits_typed_on_purpose_win_over_own_boards_and_say_from_where(bench, order, technician, at):
    good_board(technician, at, ".450", ".452", ".454")
    limits = {"low": ".001", "high": ".01", "expected_from": "schematic"}
    write(bench, order, "boost out d .002", board="Z7 main", **limits)
    reading = Reading.objects.get()
    assert (reading.verdict, reading.expected_from, reading.expected_n) == ("ok", "schematic", None)


def test_reading_after_is_judged_by_the_limits_typed_before(bench, order, technician, at):
    write(bench, order, "boost out d .002", low=".44", high=".46", expected_from="schematic")
    write(bench, order, "boost out d .452", key="r2", where="repair/reading")
    after = Reading.objects.get(key="r2")
    assert (after.phase, after.verdict, after.expected_from) == ("after", "ok", "schematic")


def test_unstable_is_a_verdict_of_its_own(bench, order):
    write(bench, order, "boost out d unstable")
    assert Reading.objects.get().verdict == "unstable"


def test_circumstances_are_kept_whole_and_stay(bench, order):
    kept = {"board": "Z7 main", "revision": "3", "side": "top", "meter": "bench meter"}
    supply = {"state": "on supply", "supply_volts": "4,2", "supply_amps": "500m"}
    write(bench, order, "main rail v 4.19", **kept, **supply)
    reading = Reading.objects.get()
    assert {name: getattr(reading, name) for name in kept} == kept
    assert (reading.state, reading.supply_volts, reading.supply_amps) == (
        "on supply",
        Decimal("4.2"),
        Decimal("0.5"),
    )
    form = bench.get(f"/sheet/{order.code}/").context["reading_form"]
    assert {name: form[name].value() for name in (*kept, *supply)} == {
        **kept,
        "state": "on supply",
        "supply_volts": "4.2",
        "supply_amps": "0.5",
    }


@pytest.mark.parametrize(
    ("boards", "offered"),
    [
        (["{} main"], "{} main"),
        (["{}0 main", "{} main"], "{} main"),
        (["{} main", "{} side"], ""),
        (["{}0 main"], ""),
    ],
)
def test_board_is_offered_where_the_list_has_one_of_that_name(bench, order, at, boards, offered):
    name = f"{order.device.make} {order.device.model}"
    for board in boards:
        ListWord.objects.create(
            kind="board", name=board.format(name), folded=fold(board.format(name)), made_at=at
        )
    assert sticky.circumstances(order, None, None).get("board", "") == offered.format(name)


def test_line_that_says_the_supply_sets_it(bench, order):
    answer = write(bench, order, "main rail v 3.79 on 3.8V 1A", headers=BY_SCRIPT).json()
    reading = Reading.objects.get()
    assert (reading.point, reading.state, reading.supply_volts) == ("main rail", "on supply", Decimal("3.8"))
    assert answer["stays"] == {"state": "on supply", "supply_volts": "3.8", "supply_amps": "1"}


@pytest.mark.parametrize("state", ["on supply", "booted", "volts injected here"])
@pytest.mark.parametrize("line", ["main rail d .4", "main rail r 12", "main rail beep"])
def test_ohms_and_diode_are_refused_under_a_supply(bench, order, state, line):
    said = heard(bench, order, line, state=state, supply_volts="1", supply_amps="1", nominal="1.8")
    assert "is measured without a supply" in said["error"]
    assert said["field"] == "state"


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"supply_volts": "3.3", "nominal": "1.8"}, "supply_volts", "above the 1.8 V of core rail"),
        ({"supply_volts": "1"}, "nominal", "Nobody has said what core rail carries"),
        ({}, "supply_volts", "Say how many volts"),
        ({"supply_volts": "1", "nominal": "1.8", "supply_amps": ""}, "supply_amps", "set a current limit"),
        ({"supply_volts": "5000", "nominal": "1.8"}, "supply_volts", "cannot be right"),
    ],
)
def test_no_point_is_fed_above_what_it_carries(bench, order, given, field, words):
    fields = {"state": "volts injected here", "supply_amps": "1", **given}
    answer = post(bench, order, "core rail a 0.9", echoed="x", headers=BY_SCRIPT, **fields).json()
    assert (answer["field"], words in answer["error"]) == (field, True), answer
    assert not Reading.objects.exists()


def test_what_a_point_carries_is_looked_up_in_the_list(bench, order, technician, at):
    board = word_lists.learn(kind="board", text="Z7 main", by=technician, at=at)
    rail = word_lists.learn(kind="point", text="Core rail", within="Z7 main", by=technician, at=at)
    ListWord.objects.filter(pk=rail.pk).update(nominal_volts=Decimal("0.8"))
    fields = {"state": "volts injected here", "supply_amps": "0.5", "board": board.name}
    assert "above the 0.8 V" in heard(bench, order, "core-rail a .9", supply_volts="1", **fields)["error"]
    assert "sentence" in heard(bench, order, "core-rail a .4", supply_volts=".4", **fields)


def test_supply_in_place_of_the_battery_may_be_above_a_rail(bench, order):
    said = heard(bench, order, "core rail v .8", state="on supply", supply_volts="4.2", nominal=".8")
    assert "On supply at 4.2 V." in said["sentence"]


def test_what_was_measured_elsewhere_today_stays_with_the_hand_not_the_board(
    bench, order, technician, at, monkeypatch
):
    monkeypatch.setattr("intake.drain.now", lambda: at)
    kept = {"board": "Z7 main", "state": "booted", "meter": "bench meter"}
    write(bench, order, "rail v 1", **kept)
    alike = at_diagnosis(by=technician, at=at, key="b")
    other = at_diagnosis(by=technician, at=at, key="c", make="Oblivu", model="O2")
    tomorrow = at + timedelta(days=1)

    def line(of):
        form = bench.get(f"/sheet/{of.code}/").context["reading_form"]
        return [form[name].value() or "" for name in kept]

    assert line(alike) == ["Z7 main", "booted", "bench meter"]
    assert line(other) == ["", "booted", "bench meter"]
    monkeypatch.setattr("intake.drain.now", lambda: timezone.localtime(tomorrow))
    assert line(other) == ["", "", ""]


def test_points_boards_and_meters_are_offered(bench, order, technician, at):
    write(bench, order, "boost out d .4", board="Z7 main")
    Meter.objects.create(name="Old meter")
    Meter.objects.create(name="Sold meter", active=False)
    word_lists.learn(kind="point", text="Mic bias", within="z7-main", by=technician, at=at)
    offered = bench.get(f"/sheet/{order.code}/").context["offered"]
    assert set(offered["points"]) == {"boost out", "Mic bias"}
    assert offered["boards"] == ["Z7 main"]
    assert offered["meters"] == ["Old meter"]


def test_reading_teaches_the_lists_its_words(bench, order):
    write(bench, order, "boost out d .4", board="Z7 main", revision="3")
    assert set(ListWord.objects.values_list("kind", "name")) == {
        ("board", "Z7 main"),
        ("revision", "3"),
        ("point", "boost out"),
    }


def test_replace_link_fills_the_line_with_and_without_script(bench, order):
    limits = {"low": ".44", "high": ".46", "expected_from": "schematic"}
    write(bench, order, "boost out d .002", meter="bench meter", **limits)
    reading = Reading.objects.get()
    text = page(bench, order)
    assert f"?again={reading.pk}#reading" in text
    form = bench.get(f"/sheet/{order.code}/", {"again": reading.pk}).context["reading_form"]
    filled = {
        name: form[name].value() for name in ("line", "instead_of", "low", "high", "expected_from", "meter")
    }
    assert filled == {
        "line": "boost out d .002",
        "instead_of": str(reading.pk),
        "low": "0.44",
        "high": "0.46",
        "expected_from": "schematic",
        "meter": "bench meter",
    }
    assert (
        json.loads(bench.get(f"/sheet/{order.code}/").context["readings"][0]["again"])["line"]
        == filled["line"]
    )


@pytest.mark.parametrize("again", ["0", "x", "9" * 30, ""])
def test_replace_link_to_nothing_shows_the_sheet(bench, order, again):
    assert bench.get(f"/sheet/{order.code}/", {"again": again}).status_code == 200


def test_replacing_twice_is_refused_beside_the_line(bench, order):
    write(bench, order, "boost out d .002")
    first = Reading.objects.get().pk
    write(bench, order, "boost out d .452", key="r2", instead_of=first)
    late = write(bench, order, "boost out d .453", key="r3", instead_of=first, headers=BY_SCRIPT).json()
    assert late["error"] == "That reading was replaced already."
    assert Reading.objects.count() == 2


def test_verdict_is_overruled_afterwards_by_a_row_that_supersedes(bench, order):
    write(bench, order, "boost out d .002")
    first = Reading.objects.get()
    own = {"verdict": "ok", "verdict_why": "Its twin reads the same"}
    write(bench, order, "boost out d .002", key="r2", instead_of=first.pk, **own)
    first.refresh_from_db()
    second = first.superseded_by
    assert (second.proposed, second.verdict) == ("no own reading yet", "ok")
    assert second.verdict_why == "Overruled: Its twin reads the same"
    assert "overruled; the rule says no own reading yet" in page(bench, order)


def test_overruling_without_a_reason_is_refused_by_the_action_too(order, technician, at):
    silent = Measured(
        typed="x d .1", point="x", mode="diode", polarity="red on ground", value=Decimal("0.1"), unit="V",
        proposed="short", verdict="ok",
    )  # fmt: skip
    with pytest.raises(Refused, match="Say why the rule is overruled"):
        diagnosis.take_reading(order=order, measured=silent, key="k", by=technician, at=at)
    assert not HistoryEntry.objects.filter(what="reading").exists()


def test_line_of_an_order_that_went_home_is_refused(bench, order):
    Order.objects.filter(pk=order.pk).update(station=Station.WAY_HOME)
    answer = write(bench, order, "boost out d .4", headers=BY_SCRIPT).json()
    assert answer["error"] == "Readings are taken while the device is here."
    assert not Reading.objects.exists()


def test_saying_back_asks_for_a_sign_in_and_never_a_post(client, bench, order):
    assert bench.post(f"/sheet/{order.code}/reading/understood/").status_code == 405
    client.logout()
    assert client.get(f"/sheet/{order.code}/reading/understood/", {"line": "x d 1"}).status_code == 302


def test_ol_expected_stands_on_the_printed_traveller(bench, order, at):
    write(bench, order, "bias d .1", low="OL", expected_from="schematic")
    printed = [row for station in sheet_paper(order, at=at).stations for row in station.readings]
    assert [(row.place, row.should_be, row.read, row.out) for row in printed] == [
        ("bias", "OL", "0.1 V", True)
    ]


def test_mark_on_a_photo_stands_beside_its_reading(bench, order, technician, at):
    write(bench, order, "bias d .1")
    picture = Photo.objects.create(order=order, role="fault", taken_at=at, width=10, height=10, bytes_long=1)
    PhotoMark.objects.create(
        photo=picture, key="m", kind="number", number=4, x=1, y=1, reading=Reading.objects.get(), at=at,
        by=technician,
    )  # fmt: skip
    assert ", mark 4</span>" in page(bench, order)
    PhotoMark.objects.update(removed_at=at)
    assert ", mark 4</span>" not in page(bench, order)


def test_reading_before_the_repair_replaces_none_after_it(bench, order):
    write(bench, order, "boost out d .002")
    after = Reading.objects.get()
    Reading.objects.filter(pk=after.pk).update(phase="after")
    assert bench.get(f"/sheet/{order.code}/", {"again": after.pk}).context["reading_form"][
        "instead_of"
    ].value() in ("", None)
    said = heard(bench, order, "boost out d .452")["sentence"]
    wrong = post(bench, order, "boost out d .452", key="r2", echoed=said, instead_of=after.pk)
    after.refresh_from_db()
    assert (wrong.status_code, after.superseded_by_id) == (404, None)


def test_state_with_a_sign_that_no_text_has_is_refused(bench, order):
    answer = post(bench, order, "boost out v 1.8", state="a\x00b", headers=BY_SCRIPT)
    assert answer.json()["field"] == "state" and not Reading.objects.exists()


@pytest.mark.parametrize(
    "other", [{"board": "Z7 sub"}, {"board": "Z7 main", "state": "unpowered, battery out"}]
)
def test_limits_typed_for_another_board_or_state_judge_nothing_here(bench, order, other):
    here = {"board": "Z7 main", "state": "booted"}
    write(bench, order, "vdd v 1.8", **here, low="1.7", high="1.9", expected_from="schematic")
    assert heard(bench, order, "vdd v 1.2", **here)["verdict"] == "low"
    assert heard(bench, order, "vdd v 1.2", **{**here, **other})["verdict"] == "no own reading yet"
