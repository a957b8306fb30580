"""Source: the demonstration's rows, copied table by table into a fresh database of another program (SQLite), and the tables of
the books that count no lines (bills, tax, stock, minutes, weeks) worked out from them by queries written by hand
(tests/tables_sql/rows, one file a table)."""

import datetime as dt
import json
import sqlite3
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.db import models, transaction
from django.test.utils import override_settings
from pytest_django.plugin import DjangoDbBlocker

from intake.models import Order, Person
from quotes.models import Dispute, DisputeEnd, Entry, Invoice, Move, Part, Payment, Posting, Rates
from shop.books import finding, table_files
from shop.books.figures import Table
from shop.books.lines import Books
from shop.demo import world
from shop.models import BookLine, WorkSession

QUERIES = Path(__file__).resolve().parent.parent / "tables_sql" / "rows"
AS_OF = dt.datetime(2026, 2, 27, 18, 0, tzinfo=dt.UTC)
COPIED: dict[str, type[models.Model]] = {
    "orders": Order, "person": Person, "invoice": Invoice, "entry": Entry, "posting": Posting, "payment": Payment,
    "dispute": Dispute, "disputeend": DisputeEnd, "part": Part, "move": Move, "rates": Rates, "bookline": BookLine,
    "worksession": WorkSession,
}  # fmt: skip
# Columns of the query that are compared; the others are none of SQL's business.
FIRST = {"time-weeks": 3}
# Without the mark no test database is made for a run of this file alone.
pytestmark = pytest.mark.django_db
KEYS = sorted(path.stem for path in QUERIES.glob("*.sql"))


def _plain(value: Any, books: Books) -> Any:
    if isinstance(value, dt.datetime):
        return value.astimezone(books.house.zone).isoformat(timespec="seconds")
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, dict | list):
        return json.dumps(value, default=str)
    return float(value) if isinstance(value, Decimal) else value


def _copy(db: sqlite3.Connection, name: str, model: type[models.Model], books: Books) -> None:
    names = [field.attname for field in model._meta.concrete_fields]
    columns = ", ".join(f'"{column}"' for column in names)
    db.execute(f"CREATE TABLE {name} ({columns})")
    rows = ([_plain(value, books) for value in row] for row in model._default_manager.values_list(*names))
    db.executemany(f"INSERT INTO {name} VALUES ({', '.join('?' * len(names))})", rows)  # noqa: S608 -- names of this file


@pytest.fixture(scope="module")
def made(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[tuple[Books, dict[str, Table], sqlite3.Connection]]:
    """The demonstration, built once and taken back after the last test here."""
    with django_db_blocker.unblock(), override_settings(DEMO=True), transaction.atomic():
        world.build(as_of=AS_OF)
        books = finding.open_period("quarter", at=AS_OF)
        tables = {table.key: table for _, some in finding.tables(books) for table in some}
        db = sqlite3.connect(":memory:")
        for name, model in COPIED.items():
            _copy(db, name, model, books)
        db.execute("ALTER TABLE bookline ADD COLUMN left_local")
        for order, left in db.execute('SELECT order_id, "left" FROM bookline').fetchall():
            local = dt.datetime.fromtimestamp(left, books.house.zone).isoformat()
            db.execute("UPDATE bookline SET left_local = ? WHERE order_id = ?", (local, order))
        today = dt.date.fromordinal(books.today).isoformat()
        db.execute("CREATE TABLE p (since, until, now, today)")
        db.execute(
            "INSERT INTO p VALUES (?, ?, ?, ?)", (books.window.since, books.window.until, books.now, today)
        )
        yield books, tables, db
        transaction.set_rollback(True)


def _shown(table: Table, books: Books) -> list[tuple[Any, ...]]:
    """The rows as they go into a file, money in cents."""
    found = []
    for block in table_files.plain_rows(table, books, finding.naming):
        for row in block:
            found.append(
                tuple(
                    int(cell.scaleb(books.house.digits)) if isinstance(cell, Decimal)
                    else cell.isoformat() if isinstance(cell, dt.date) else cell
                    for cell in row
                )
            )  # fmt: skip
    return found


@pytest.mark.parametrize("key", KEYS)
def test_table_equals_a_query_over_the_rows(
    made: tuple[Books, dict[str, Table], sqlite3.Connection], key: str
) -> None:
    books, tables, db = made
    first = FIRST.get(key)
    found = sorted((row[:first] for row in _shown(tables[key], books)), key=str)
    meant = sorted((row[:first] for row in db.execute((QUERIES / f"{key}.sql").read_text("utf-8"))), key=str)
    assert found, "a table without rows proves nothing"
    assert len(found) == len(meant)
    for own, other in zip(found, meant, strict=True):
        assert list(own) == [
            pytest.approx(cell, abs=1e-9) if isinstance(cell, float) else cell for cell in other
        ]
