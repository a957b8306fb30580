"""Lists, files and figures of the books as pages and for a key: who may, what they hold, what is never there."""

import csv
import io
import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from django.db import connection
from django.http import StreamingHttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from openpyxl import load_workbook

from intake.models import Order
from intake.refusals import Refused
from shop.books import finding, reading_keys, reading_views, table_files
from shop.books.figures import Column, Figure, Table
from shop.books.lines import Books
from shop.books.registry import Slice
from shop.models import ReadKey
from tests import walk

PAGES = ["/books/orders/", "/books/tables/", "/books/tables/order-lines.csv", "/settings/reading-keys/"]


def _figures(books: Books, rest: object) -> list[Figure]:
    here = [line.order for line in books.came()]
    return [
        Figure(
            "time-came", "Devices that came", len(here), "orders", len(here), "All that arrived.", "Counted.", tuple(here)
        ),
        Figure("time-billed", "Billed", 11_800, "money", 12, "Bills.", "Apart.", always=True),
    ]  # fmt: skip


def _tables(books: Books, rest: object) -> list[Table]:
    columns = (
        Column("order", "Order", "order"),
        Column("customer", "Customer", "customer"),
        Column("parts", "Parts", "money"),
    )
    rows = [(line.order, line.customer, line.parts) for line in books.came()]
    return [Table("time-those", "Those that came", "A row is a device.", columns, rows)]


@pytest.fixture(autouse=True)
def _one_slice(monkeypatch: pytest.MonkeyPatch) -> None:
    """A small slice instead of the real ones."""
    part = Slice("time", "Time", "shop:books", lambda books: None, _figures, _tables)
    monkeypatch.setattr(finding, "SLICES", (part,))


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


@pytest.fixture
def key(bench: SimpleNamespace, at: datetime) -> str:
    return reading_keys.make_key(name="Bookkeeping", by=bench.owner, at=at)[1]


def _came(bench: SimpleNamespace, at: datetime, *, name: str = "") -> Order:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    if name:
        order.customer.name = name
        order.customer.save()
    return order


def _rows(answer: StreamingHttpResponse) -> list[dict[str, str]]:
    text = b"".join(answer).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def _bearer(key: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {key}"}


@pytest.mark.parametrize("address", PAGES)
def test_lists_and_files_are_the_owners_alone(bench: SimpleNamespace, address: str) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(address).status_code == 403
    assert Client().get(address).status_code == 302


def test_orders_behind_a_figure_bear_its_name(desk: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = _came(bench, at)
    page = desk.get("/books/orders/?figure=time-came&period=all").content.decode()
    assert "<h1>Devices that came</h1>" in page and order.code in page and "1 order." in page
    assert desk.get("/books/orders/?figure=time-nothing&period=all").status_code == 404


@pytest.mark.parametrize(
    ("asked", "there"),
    [("figure=arrived&period=all", True), ("figure=here&period=30", True), ("figure=station-30&period=all", True),
     ("figure=lost&period=90", False), ("period=all&figure=owed-over-60", False)],
)  # fmt: skip
def test_addresses_of_before_still_lead_to_their_orders(
    desk: Client, bench: SimpleNamespace, at: datetime, asked: str, there: bool
) -> None:
    order = _came(bench, at)
    page = desk.get(f"/books/orders/?{asked}").content.decode()
    assert (order.code in page) is there


def test_orders_behind_a_figure_are_turned_by_the_last_seen(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    orders = [_came(bench, at) for _ in range(51)]
    first = desk.get("/books/orders/?figure=time-came&period=all").content.decode()
    assert first.count('class="run"') == 50 and orders[0].code not in first
    (onward,) = re.findall(r'rel="next" href="(\?[^"]+)"', first)
    rest = desk.get("/books/orders/" + onward.replace("&amp;", "&")).content.decode()
    assert rest.count('class="run"') == 1 and orders[0].code in rest and 'rel="next"' not in rest


def test_list_of_tables_names_each_with_its_files(desk: Client) -> None:
    page = desk.get("/books/tables/?period=week").content.decode()
    for address in ("time-those.csv", "time-those.xlsx", "order-lines.csv", "order-lines.txt"):
        assert f"/books/tables/{address}?period=week" in page
    assert "A row is a device." in page


def test_files_hold_the_names_of_the_day_and_no_formula(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = _came(bench, at, name="=cmd()")
    answer = desk.get("/books/tables/time-those.csv?period=all")
    assert isinstance(answer, StreamingHttpResponse)
    assert answer.headers["Content-Disposition"].startswith('attachment; filename="time-those-all-')
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert _rows(answer) == [{"Order": order.code, "Customer": "'=cmd()", "Parts (USD)": "0.00"}]
    sheet = desk.get("/books/tables/time-those.xlsx?period=all")
    book = load_workbook(io.BytesIO(b"".join(sheet)))  # type: ignore[arg-type]
    cells = list(book["Table"][2])
    assert [cell.value for cell in cells] == [order.code, "=cmd()", 0] and cells[1].data_type == "s"
    words = desk.get("/books/tables/time-those.txt?period=all").content.decode()
    assert words.startswith("Table: Those that came\r\n") and "What a row is: A row is a device." in words


def test_file_of_lines_holds_each_order_with_all_that_is_counted(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = _came(bench, at, name='Ellwick, "Mara"\nof Anytown')
    (row,) = _rows(desk.get("/books/tables/order-lines.csv?period=all"))
    assert row["order"] == order.code and row["customer"] == 'Ellwick, "Mara"\nof Anytown'
    assert row["customer number"] == str(order.customer_id)
    assert datetime.fromisoformat(row["arrived"]) == at and row["left"] == ""
    assert row["at station 20 (seconds)"] != "" and row["at station 60 (seconds)"] == ""


@pytest.mark.parametrize("address", ["time-nothing.csv", "time-those.pdf", "nothing.xlsx"])
def test_file_of_no_table_is_not_found(desk: Client, address: str) -> None:
    assert desk.get(f"/books/tables/{address}").status_code == 404


@pytest.mark.parametrize("orders", [1, 30])
def test_files_take_as_many_queries_whatever_the_number_of_orders(
    desk: Client, bench: SimpleNamespace, at: datetime, orders: int
) -> None:
    for _ in range(orders):
        _came(bench, at)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as seen:
            assert len(_rows(desk.get("/books/tables/order-lines.csv?period=all"))) == orders
        counts.append(len(seen))
    assert counts[1] <= 40


def test_many_rows_leave_in_pieces(
    desk: Client, bench: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    def tables(books: Books, rest: object) -> list[Table]:
        rows: Sequence[tuple[int]] = [(number,) for number in range(5_000)]
        return [Table("time-many", "Many", "A row is a number.", (Column("n", "N", "count"),), rows)]

    part = Slice("time", "Time", "shop:books", lambda books: None, _figures, tables)
    monkeypatch.setattr(finding, "SLICES", (part,))
    answer = desk.get("/books/tables/time-many.csv")
    pieces = list(answer)  # type: ignore[arg-type]
    assert len(pieces) == 1 + 5_000 // table_files.AT_ONCE
    assert b"".join(pieces).count(b"\r\n") == 5_001


def test_figures_are_read_with_a_key(bench: SimpleNamespace, at: datetime, key: str) -> None:
    order = _came(bench, at)
    answer = Client().get("/books/figures.json?period=all", headers=_bearer(key))
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-store"
    assert not answer.cookies
    assert "Cookie" not in answer.headers.get("Vary", "")
    said = answer.json()
    assert [one["key"] for one in said["figures"]] == ["time-came", "time-billed"]
    assert (said["figures"][0]["value"], said["figures"][1]["value"]) == (1, "118.00")
    table = Client().get("/books/tables/time-those.json?period=all", headers=_bearer(key)).json()
    assert table["rows"] == [{"order": order.code, "customer": order.customer.name, "parts": "0.00"}]
    assert Client().get("/books/tables/nothing.json", headers=_bearer(key)).status_code == 404


def test_figures_of_a_week_stand_beside_those_of_the_week_before(bench: SimpleNamespace, key: str) -> None:
    said = Client().get("/books/figures.json?period=week", headers=_bearer(key)).json()
    assert said["figures"][0]["before"] == 0 and said["figures"][0]["before_n"] == 0


@pytest.mark.parametrize("address", ["/books/figures.json", "/books/tables/time-those.json"])
@pytest.mark.parametrize("header", ["", "Bearer", "Bearer " + "x" * 43, "Basic eDp5", "read_x"])
def test_without_a_live_key_nothing_is_read(desk: Client, key: str, address: str, header: str) -> None:
    """Not even by the owner who is signed in: this door knows no session."""
    answer = desk.get(address, headers={"Authorization": header} if header else {})
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"].startswith("Bearer ")
    assert answer.headers["Cache-Control"] == "no-store"
    assert set(answer.json()) == {"error"}


def test_ended_key_reads_nothing(desk: Client, bench: SimpleNamespace, key: str) -> None:
    row = ReadKey.objects.get()
    assert desk.post(f"/settings/reading-keys/{row.pk}/end/").status_code == 303
    assert Client().get("/books/figures.json", headers=_bearer(key)).status_code == 401
    row.refresh_from_db()
    ended = row.ended_at
    desk.post(f"/settings/reading-keys/{row.pk}/end/")
    row.refresh_from_db()
    assert row.ended_at == ended and row.ended_by == bench.owner


def test_key_only_reads(key: str) -> None:
    assert Client().post("/books/figures.json", headers=_bearer(key)).status_code == 405
    assert Client().head("/books/figures.json", headers=_bearer(key)).status_code == 200


def test_wrong_keys_are_counted_and_a_right_one_still_reads(
    key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading_views, "MOST_TRIES", 2)
    tries = [Client().get("/books/figures.json", headers=_bearer("x" * 43)).status_code for _ in range(3)]
    assert tries == [401, 401, 429]
    assert Client().get("/books/figures.json", headers=_bearer(key)).status_code == 200


def test_key_is_shown_once_and_only_its_digest_is_kept(desk: Client) -> None:
    page = desk.post("/settings/reading-keys/", {"name": "Bookkeeping"}).content.decode()
    (key,) = re.findall(r"<code class=\"num\">(read_[^<]+)</code>", page)
    row = ReadKey.objects.get()
    assert row.digest == reading_keys.digest(key) and key not in str(vars(row))
    again = desk.get("/settings/reading-keys/").content.decode()
    assert key not in again and "Bookkeeping" in again
    assert desk.get("/settings/reading-keys/").headers["Cache-Control"].startswith("max-age=0")
    assert not any(key in str(value) for value in desk.session.values())
    assert Client().get("/books/figures.json", headers=_bearer(key)).status_code == 200


@pytest.mark.parametrize("name", ["", "   ", "bookkeeping"])
def test_key_without_a_name_of_its_own_is_refused_and_what_was_typed_stays(
    desk: Client, key: str, name: str
) -> None:
    answer = desk.post("/settings/reading-keys/", {"name": name})
    assert answer.status_code == 422
    assert ReadKey.objects.count() == 1
    assert "read_" not in answer.content.decode()
    assert name.strip() in answer.content.decode()


def test_name_of_an_ended_key_is_free_again(bench: SimpleNamespace, at: datetime, key: str) -> None:
    with pytest.raises(Refused):
        reading_keys.make_key(name="BOOKKEEPING", by=bench.owner, at=at)
    reading_keys.end_key(key=ReadKey.objects.get(), by=bench.owner, at=at)
    reading_keys.make_key(name="BOOKKEEPING", by=bench.owner, at=at)
    assert ReadKey.objects.count() == 2


def test_day_a_key_was_last_used_is_noted_once_a_day(key: str, at: datetime) -> None:
    day = at.date()
    assert reading_keys.key_of(f"Bearer {key}", today=day) is not None
    with CaptureQueriesContext(connection) as seen:
        reading_keys.key_of(f"bearer {key}", today=day)
    assert len(seen) == 1
    reading_keys.key_of(f"Bearer {key}", today=day + timedelta(days=1))
    assert ReadKey.objects.get().used_on == day + timedelta(days=1)


def test_technician_can_neither_make_nor_end_a_key(bench: SimpleNamespace, key: str) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.post("/settings/reading-keys/", {"name": "Mine"}).status_code == 403
    assert technician.post(f"/settings/reading-keys/{ReadKey.objects.get().pk}/end/").status_code == 403
    assert ReadKey.objects.get().ended_at is None
