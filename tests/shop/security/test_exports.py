"""No cell of any file that a spreadsheet opens begins a formula, whatever was typed into names, devices, parts and remedies.

ASVS 5.0, 1.2.10: = + - @, tab and NUL; OWASP, CSV injection, adds the carriage return and the full-width signs (from memory).
"""

import csv
import io
import re
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from intake.models import Person
from intake.stations import Station
from quotes.models import Part, Remedy
from quotes.price_lists.cells import guarded, unguarded
from quotes.price_lists.columns import LISTS
from shop.access import now
from shop.books import finding
from shop.books.formula_safe import harmless
from tests import walk
from tests.shop.security.rooms import rooms

TRIGGERS = ("=", "+", "-", "@", "\t", "\r", "\0", "＝", "＋", "－", "＠")
NUMBER = re.compile(r"[-+]?\d+(\.\d+)?([eE][-+]?\d+)?")
# Every address that hands out a file of rows; `rows_of` below knows each.
EXPORTS = {
    "shop:journal_csv",
    "shop:journal_xlsx",
    "shop:books_file",
    "shop:books_replay_file",
    "shop:price_list_out",
    "shop:register_file",
}
# Addresses whose name or route looks like such a file and is none: what is read in, papers, and words for a program.
NO_ROWS = {
    "shop:figures_json",
    "shop:table_json",
    "shop:books_running_month",
    "shop:books_month",
    "shop:demo_bank",
}


@pytest.fixture
def poisoned(bench: SimpleNamespace) -> Client:
    """A shop in which everybody and everything is called like a formula."""
    at = datetime.now(tz=UTC)
    order = walk.request(
        at=at,
        name='=HYPERLINK("http://x","y")',
        model="@SUM(1+1)*cmd|' /C calc'!A0",
        serial="-1+1",
        words="+1\t=1",
        symptoms=["=1+1"],
        idea="=idea",
    )
    walk.to(order, Station.HOME, by=bench.technician, at=at)
    for number, sign in enumerate(TRIGGERS[:5]):
        Part.objects.filter(pk=Part.objects.order_by("pk")[number].pk).update(name=f"{sign}part")
        Remedy.objects.filter(pk=Remedy.objects.order_by("pk")[number].pk).update(
            name=f"{sign}remedy", plain=f"{sign}2+3"
        )
    Person.objects.filter(pk=bench.technician.pk).update(first_name="=cmd", last_name="+person")
    client = Client()
    client.force_login(bench.owner)
    return client


def addresses() -> Iterator[str]:
    """Each file, in each of its kinds."""
    yield from (reverse("shop:journal_csv"), reverse("shop:journal_xlsx"), reverse("shop:register_file"))
    books = finding.open_period("", at=now())
    keys = [table.key for _, tables in finding.tables(books) for table in tables]
    assert len(keys) > 10
    for key in keys:
        yield from (reverse("shop:books_file", args=[key, kind]) for kind in ("csv", "xlsx"))
    for kind in ("csv", "xlsx"):
        yield reverse("shop:books_replay_file", args=[kind])
        yield from (reverse("shop:price_list_out", args=[key, kind]) for key in LISTS)


def formulas_in(answer: Any) -> list[str]:
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    if "csv" in answer.headers["Content-Type"]:
        rows = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""))
        return [
            cell for row in rows for cell in row if cell.startswith(TRIGGERS) and not NUMBER.fullmatch(cell)
        ]
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        sheets = [parts.read(name) for name in parts.namelist() if name.startswith("xl/worksheets/")]
    wrong = [str(re.findall(rb"<f[ >].{0,40}", sheet)) for sheet in sheets if re.search(rb"<f[ >]", sheet)]
    book = openpyxl.load_workbook(io.BytesIO(content))
    cells = (cell for sheet in book for row in sheet.iter_rows() for cell in row)
    return wrong + [str(cell.value) for cell in cells if cell.data_type == "f" or cell.hyperlink]


def test_every_file_of_rows_is_among_these() -> None:
    """A new file fails here until its cells are looked at as well."""
    looks_like = re.compile(r"csv|xlsx|json|pdf|file|\.<|bank/<str")
    found = {
        room.name
        for room in rooms()
        if re.search(r"\.(csv|xlsx|json|pdf|<)|_(csv|xlsx|file)$", f"{room.route} {room.name}")
        or (looks_like.search(room.route.rsplit("/", 1)[-1]))
    }
    assert found - NO_ROWS == EXPORTS


def test_no_cell_of_any_file_begins_a_formula(poisoned: Client) -> None:
    wrong, seen = [], 0
    for address in addresses():
        answer = poisoned.get(address)
        assert answer.status_code == 200, address
        assert answer.headers["Content-Disposition"].startswith("attachment"), address
        wrong += [f"{address}: {cell!r}" for cell in formulas_in(answer)]
        seen += 1
    assert wrong == [] and seen > 30


@given(st.text(min_size=1))
def test_text_for_a_spreadsheet_never_begins_with_a_sign(text: str) -> None:
    assert not harmless(text).startswith(TRIGGERS)
    assert not guarded(text).startswith(TRIGGERS[:5])


@given(st.sampled_from(TRIGGERS), st.text())
def test_sign_in_front_is_always_guarded_and_the_text_comes_back(sign: str, text: str) -> None:
    assert harmless(sign + text) == f"'{sign}{text}"
    if sign != "\0":
        assert unguarded(guarded(sign + text)) == sign + text
