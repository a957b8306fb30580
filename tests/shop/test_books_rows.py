"""What is measured of the books: every row can be measured, and the spreadsheet adds up what we add up."""

import datetime as dt
from collections import defaultdict

import pytest

from intake.models import Person
from shop.bulk.make import make_orders
from shop.bulk.walks import OTHER_ENDS, STILL_HERE, shapes
from shop.measuring import sheet_floor
from shop.measuring.books_rows import books_rows

NOW = dt.datetime(2026, 2, 27, 18, tzinfo=dt.UTC)
SENT = next(shape for shape in STILL_HERE if shape.name == "sent")


@pytest.fixture
def made(db):
    make_orders(orders=60, seed=3, years=2, at=NOW, which=[shapes()[1], OTHER_ENDS[0], SENT])


def test_every_row_of_the_books_can_be_measured(made, monkeypatch):
    monkeypatch.setattr(sheet_floor, "office", lambda: "")
    found = books_rows(Person.objects.get(username="ansel"), at=NOW, stays=1_000)
    assert [row.name for row in found] == [
        "week's page",
        "24 months",
        "curve of 1000",
        "sums of 60",
        "order closed",
    ]
    for row in found[:3] + found[4:]:
        assert (row.floor, row.why) != (None, ""), row.name
        row.floor()
        row.ours()
    assert "LibreOffice" in found[3].why
    assert found[4].queries > 20


def test_measured_closing_is_taken_back(made):
    row = books_rows(Person.objects.get(username="ansel"), at=NOW, stays=10)[-1]
    before = sheet_floor.lines()
    row.ours()
    assert sheet_floor.lines() == before


def test_our_months_are_the_lines_added_up_one_by_one(made):
    counts, margins, stays = defaultdict(int), defaultdict(int), defaultdict(list)
    for day, arrived, left, billed, *costs in sheet_floor.lines():
        month = dt.date.fromordinal(day).strftime("%Y-%m")
        counts[month] += 1
        margins[month] += billed - sum(costs)
        stays[month].append((left - arrived) / 86_400)
    told = {month: row for month, row in zip(_names(), sheet_floor.our_months(), strict=True) if row[0]}
    assert {month: row[:2] for month, row in told.items()} == {
        month: (counts[month], margins[month]) for month in counts
    }
    for month, (_, _, mean) in told.items():
        assert mean == pytest.approx(sum(stays[month]) / len(stays[month]))


def _names():
    newest = dt.date.fromordinal(max(row[0] for row in sheet_floor.lines()))
    return [f"{month // 12}-{month % 12 + 1:02d}" for month in sheet_floor.months_back(newest)]


@pytest.mark.skipif(not sheet_floor.office(), reason="no LibreOffice here")
def test_spreadsheet_counts_the_same_months(made):
    book = sheet_floor.Workbook(sheet_floor.lines())
    assert book.counted() == [count for count, _, _ in sheet_floor.our_months()]
