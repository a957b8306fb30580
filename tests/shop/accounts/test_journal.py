"""The journal of a period: on the page, as CSV read back by csv, as XLSX read back by openpyxl."""

import csv
import datetime as dt
import io
from decimal import Decimal as D

import pytest
from openpyxl import load_workbook

from intake.models import Customer, Letterhead
from intake.stations import Station
from quotes import billing, payments
from quotes.models import Posting
from shop import guard
from shop.accounts import journal_rows
from tests import walk

NASTY = '=HYPERLINK("http://example.com","x")'


def postings(since, upto):
    return Posting.objects.filter(entry__day__range=(since, upto))


def body(answer):
    return b"".join(answer.streaming_content)


@pytest.fixture
def moved(shop, old, fresh, at):
    """Two bills, a payment with a fee, a credit note."""
    payments.record_payment(
        order=old, kind="card", amount=D("30"), fee=D("1.15"), key="p", by=shop.owner, at=at
    )
    billing.credit(invoice=fresh.invoices.get(), why="Wrong", by=shop.owner, at=at)
    return old


def test_journal_page_shows_both_sides_equal_and_its_period(desk, moved, at):
    page = desk.get("/accounts/journal/")
    assert page.context["since"] == dt.date(2026, 2, 1) and page.context["upto"] == at.date()
    whole = desk.get("/accounts/journal/?since=2025-01-01&upto=2026-12-31")
    (group,) = whole.context["sums"]
    assert group.total.debit == group.total.credit > 0 and group.total.balance == 0
    assert len(whole.context["entries"]) == 4
    by_account = {row.account: row.balance for row in group.rows}
    assert by_account["Owed by customers"] == billing.balance(moved)


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("since=2026-02-02&upto=2026-02-01", "cannot be before the first"),
        ("since=1999-01-01&upto=2026-02-01", "no books before 2000"),
        ("since=x&upto=2026-02-01", "Type a day such as"),
    ],
)
def test_wrong_period_is_said_and_kept(desk, moved, query, sentence):
    page = desk.get(f"/accounts/journal/?{query}")
    assert page.status_code == 422 and sentence in page.content.decode()
    assert f'value="{query[6:].partition("&")[0]}"' in page.content.decode()
    for kind in ("csv", "xlsx"):
        refused = desk.get(f"/accounts/journal.{kind}?{query}")
        assert refused.status_code == 422 and sentence in refused.content.decode()


def test_csv_read_back_has_every_posting_and_sums_to_the_books(desk, moved):
    answer = desk.get("/accounts/journal.csv?since=2025-01-01&upto=2026-12-31")
    assert answer.headers["Content-Disposition"].endswith('filename="journal-2025-01-01-2026-12-31.csv"')
    rows = list(csv.DictReader(io.StringIO(body(answer).decode("utf-8-sig"))))
    debit = sum(D(row["debit"]) for row in rows if row["debit"])
    credit = sum(D(row["credit"]) for row in rows if row["credit"])
    assert len(rows) == Posting.objects.count() and debit == credit > 0
    fees = [row for row in rows if row["account"] == "Payment fees"]
    assert [(row["debit"], row["credit"], row["currency"]) for row in fees] == [("1.15", "", "USD")]


def test_times_in_the_file_are_the_shops_as_on_the_page(desk, moved, at):
    Letterhead.objects.update(zone="Asia/Tokyo")
    guard.forget_zone()
    lines = body(desk.get("/accounts/journal.csv?since=2025-01-01&upto=2026-12-31")).decode("utf-8-sig")
    times = {row["time"] for row in csv.DictReader(io.StringIO(lines))}
    page = desk.get("/accounts/journal/?since=2025-01-01&upto=2026-12-31")
    assert times == {row.time for _, rows in page.context["entries"] for row in rows}
    assert times == {f"{at + dt.timedelta(hours=9):%H:%M}"}


def test_period_takes_in_its_first_and_its_last_day(desk, moved, at):
    day = at.date()
    answer = desk.get(f"/accounts/journal.csv?since={day}&upto={day}")
    rows = list(csv.DictReader(io.StringIO(body(answer).decode("utf-8-sig"))))
    assert {row["day"] for row in rows} == {day.isoformat()} and len(rows) == postings(day, day).count() > 0


def test_xlsx_read_back_has_numbers_days_and_the_same_sums(desk, moved):
    answer = desk.get("/accounts/journal.xlsx?since=2025-01-01&upto=2026-12-31")
    book = load_workbook(io.BytesIO(body(answer)))
    head, *rows = book["Journal"].iter_rows(values_only=True)
    assert head == journal_rows.HEAD and len(rows) == Posting.objects.count()
    debit = sum(D(str(row[9])) for row in rows if row[9] is not None)
    credit = sum(D(str(row[10])) for row in rows if row[10] is not None)
    assert debit == credit == journal_rows.sums(dt.date(2025, 1, 1), dt.date(2026, 12, 31))[0].total.debit
    assert all(isinstance(row[1], dt.datetime) for row in rows)
    last = list(book["Sums"].iter_rows(values_only=True))[-1]
    assert last[0] == "All" and D(str(last[2])) == D(str(last[3])) == debit and last[5] == "USD"


@pytest.mark.parametrize("name", [NASTY, "+1", "-2", "@sum", "\tx", "Rosa\x0bPlenth"])
def test_text_that_looks_like_a_formula_stays_text(desk, shop, at, name):
    order = walk.request(at=at)
    Customer.objects.update(name=name)
    order.refresh_from_db()
    walk.to(order, Station.GOODS_OUT, by=shop.owner, at=at)
    payments.write_off(order=order, amount=D(1), key="w", why=name, by=shop.owner, at=at)
    cells = load_workbook(io.BytesIO(body(desk.get("/accounts/journal.xlsx"))))["Journal"]
    assert {cell.data_type for row in cells.iter_rows() for cell in row if cell.value is not None} <= {
        "s",
        "n",
        "d",
    }
    texts = [
        row["text"]
        for row in csv.DictReader(io.StringIO(body(desk.get("/accounts/journal.csv")).decode("utf-8-sig")))
    ]
    assert texts and all(text[:1] not in "=+-@\t" for text in texts)


def test_formula_in_the_first_place_of_a_cell_is_written_as_text(at):
    from shop.accounts.journal_files import as_csv, as_xlsx

    row = journal_rows.Row(
        1, at.date(), "09:00", "payment", NASTY, "", "", "Bank", "", D(1), None, "JPY", "=by"
    )
    sheet = load_workbook(as_xlsx([row], []))["Journal"]
    cell = sheet.cell(row=2, column=5)
    assert (cell.value, cell.data_type) == (NASTY, "s")
    assert (sheet.cell(row=2, column=10).value, sheet.cell(row=2, column=10).number_format) == (1, "#,##0")
    line = next(csv.reader([list(as_csv([row]))[1]]))
    assert (line[4], line[9], line[12]) == (f"'{NASTY}", "1", "'=by")
