"""The repair report from the rows: what the customer may see, what could not be tested, with its sources."""

import io
from decimal import Decimal

import pytest
from PIL import Image
from pypdf import PdfReader

from intake.models import Paper, Photo
from intake.stations import Station
from quotes.diagnosis import Measured
from quotes.models import Finding
from shop.demo import pictures, steps
from shop.repair_reports import parts_of, photo_pair, reading_pairs, repair_report, report_of, was_wet
from shop.traveller.before_after import before_and_after
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)


def paper_of(order):
    return Paper.objects.get(order=order, maker="repair_report")


def test_report_says_what_could_not_be_tested_and_what_was_bad_already(order):
    run = order.test_runs.get()
    run.rows.filter(number=6).update(result="cannot", reason="Without your code")
    run.rows.filter(number=7).update(result="already", reason="Torn when it came")
    report = report_of(paper_of(order))
    assert [why for _, why in report.not_tested] == ["Without your code"]
    assert [why for _, why in report.bad_already] == ["Torn when it came"]
    said = " ".join(PdfReader(io.BytesIO(repair_report(paper_of(order)))).pages[0].extract_text().split())
    assert "What we could not test, and why" in said and "Without your code" in said
    assert "Was bad when it came" in said


def test_reading_pair_names_its_source_and_what_it_is_now(order):
    pair = report_of(paper_of(order)).readings[0]
    assert (pair.place, pair.before, pair.after, pair.verdict_after) == (
        "Microphone bias",
        "OL",
        "0.452 V",
        "in order",
    )
    assert pair.should_be == "0.43 – 0.47 V" and pair.known_from == "own good boards, n=7"


def test_pairs_that_were_bad_come_first(order, bench, at):
    for phase in ("before", "after"):
        fine = steps.Measured(**{**vars(steps.GOOD), "point": "A rail", "phase": phase})
        steps.read(order, fine, by=bench.technician, at=at)
    assert [first.point for first, _ in reading_pairs(order)] == ["Microphone bias", "A rail"]


def test_same_point_of_two_boards_is_two_pairs(order, bench, at):
    for board, value, phase, verdict in (
        ("main", "0.1", "before", "low"), ("sub", "0.4", "before", "ok"),
        ("main", "0.41", "after", "ok"), ("sub", "0.42", "after", "ok"), ("sub", "0.43", "after", "ok"),
    ):  # fmt: skip
        said = {"point": "A rail", "board": board, "value": Decimal(value), "special": ""}
        made = Measured(**{**vars(steps.GOOD), **said, "phase": phase, "verdict": verdict})
        steps.read(order, made, by=bench.technician, at=at)
    found = [(first.board, first.value, last.value) for first, last in reading_pairs(order)]
    told = [("main", Decimal("0.1"), Decimal("0.41")), ("sub", Decimal("0.4"), Decimal("0.43"))]
    assert [each for each in found if each[0]] == told
    pairs = before_and_after(order.readings.filter(superseded_by__isnull=True))
    assert [(pair["before"], pair["after"]) for pair in pairs[1:]] == [
        ("0.1 V", "0.41 V"),
        ("0.4 V", "0.43 V"),
    ]


def test_soak_second_person_version_and_warranty_stand_in_the_report(order, bench, at):
    order.test_runs.update(second_by=bench.owner, second_at=at)
    report = report_of(paper_of(order))
    assert any(row.note == "ran for 30 minutes" for row in report.tests)
    assert (report.second_by, report.list_version, report.warranty_days) == (bench.owner.initials, 1, 90)


@pytest.mark.parametrize("before, fault, wet", [
    (["It got wet"], "torn pad", True), ([], "liquid corrosion", True), (["It was dropped or knocked"], "torn pad", False),
])  # fmt: skip
def test_liquid_is_known_from_the_ticks_or_the_finding(order, before, fault, wet):
    order.before = before
    assert was_wet(order, Finding(fault_class=fault)) is wet


def test_donor_part_is_called_so(order, bench, at):
    move = order.moves.filter(kind="consume").select_related("part").first()
    assert parts_of(order, None) == [move.part.name]
    move.part.__class__.objects.filter(pk=move.part_id).update(condition="donor")
    assert "donor" in parts_of(order, None)[0]


def test_photos_the_customer_may_not_see_are_not_in_the_report(order, monkeypatch, at):
    monkeypatch.setattr("shop.repair_reports.marked.bytes_of", lambda photo: pictures.board(3))
    columns = {
        "order": order,
        "sha256": "0" * 64,
        "width": 9,
        "height": 9,
        "bytes_long": 9,
        "taken_at": at,
        "taken_by": "x",
    }
    Photo.objects.create(role="fault", original_sha256="1" * 64, shown=False, **columns)
    Photo.objects.create(role="after", original_sha256="2" * 64, shown=True, caption="New pad", **columns)
    before, after, _ = photo_pair(order)
    assert before is None and after.caption == "New pad"
    Photo.objects.create(role="before", original_sha256="3" * 64, shown=True, **columns)
    before, after, same = photo_pair(order)
    assert same and before.caption == "Before"
    with Image.open(io.BytesIO(before.jpeg)) as first, Image.open(io.BytesIO(after.jpeg)) as second:
        assert first.size == second.size


def test_a_lost_file_does_not_cost_the_report(order, monkeypatch, at, caplog):
    def lost(photo):
        raise FileNotFoundError

    monkeypatch.setattr("shop.repair_reports.marked.bytes_of", lost)
    Photo.objects.create(
        order=order, role="after", sha256="0" * 64, original_sha256="2" * 64, width=9, height=9, bytes_long=9,
        taken_at=at, taken_by="x", shown=True,
    )  # fmt: skip
    assert photo_pair(order) == (None, None, False)
    assert "is lost" in caplog.text
