"""What a restored copy must pass besides equal rows and files: each check gives one sentence and whether it held."""

import datetime as dt
from collections.abc import Callable, Iterable
from typing import Any

from django.core import mail
from django.db import DatabaseError, connection, transaction
from django.db.models import F, Sum
from django.db.models.functions import Coalesce

from intake import drain, file_store, history, paper_files
from intake.models import Letter, Order, Paper, Photo
from intake.wording import count
from quotes import proof
from quotes.models import Entry, Part
from shop import clock
from shop.backup import opening
from shop.books.recount import recount
from shop.vault import unlocking

SHOWN = 3
Checked = tuple[bool, str]
ARMED = {
    "sqlite": "SELECT DISTINCT tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE '%\\_only\\_added' ESCAPE '\\'",
    "postgresql": (
        "SELECT DISTINCT c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
        "WHERE t.tgname LIKE '%\\_row\\_only\\_added' AND t.tgenabled IN ('O', 'A')"
    ),
}


def prove(*, at: dt.datetime, gone: Iterable[str] = ()) -> dict[str, Any]:
    """Every check in turn; one that breaks is a fault with its name, and the others still run."""
    checks: dict[str, Callable[[], Checked]] = {
        "the database's own check": whole,
        "the locks": locked,
        "the history": chained,
        "the accounts": add_up,
        "the books": recounted,
        "the stock": stocked,
        "the photos and papers": lambda: all_files(set(gone)),
        "the unlock codes": codes_open,
        "the pages": opening.pages,
        "the customers' links": lambda: opening.links(at=at),
        "the letters": lambda: silent(at=at),
    }
    return {"said": [_checked(name, check) for name, check in checks.items()]}


def _checked(name: str, check: Callable[[], Checked]) -> Checked:
    try:
        return check()
    except Exception as fault:
        return False, f"The check of {name} broke off: {type(fault).__name__} {str(fault)[:200]}."


def whole() -> Checked:
    """SQLite: integrity and foreign keys. PostgreSQL checked both while it restored; none may be left unchecked."""
    if connection.vendor == "sqlite":
        faults = [text for (text,) in _ask("PRAGMA integrity_check") if text != "ok"]
        faults += [
            f"{table} row {row} points at nothing in {parent}"
            for table, row, parent, _ in _ask("PRAGMA foreign_key_check")
        ]
    else:
        faults = [
            f"{name} was not checked"
            for (name,) in _ask("SELECT conname FROM pg_constraint WHERE NOT convalidated")
        ]
    return _said(faults, "The database is whole, and each row points at rows that are there.")


def locked() -> Checked:
    """Each table that is only ever added to refuses to lose a row, tried with one row each and undone."""
    tables = [str(table) for (table,) in _ask(ARMED[connection.vendor])]
    faults = [f"{table} lets a row be removed" for table in tables if not _refuses(table)]
    if not tables:
        faults = ["no table is locked against changes"]
    return _said(faults, f"{count(len(tables), 'table')} that are only added to refused a removal.")


def _refuses(table: str) -> bool:
    name = connection.ops.quote_name(table)
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            key = connection.ops.quote_name(connection.introspection.get_primary_key_column(cursor, table))
            cursor.execute(f"DELETE FROM {name} WHERE {key} = (SELECT MIN({key}) FROM {name})")  # noqa: S608 -- names of this database
            removed = cursor.rowcount
            transaction.set_rollback(True)
    except DatabaseError as fault:
        return "only ever added to" in str(fault)
    return removed == 0


def chained() -> Checked:
    faults = [fault] if (fault := history.verify()) else []
    bare = Order.objects.filter(history__isnull=True).count()
    if bare:
        faults.append(f"{count(bare, 'order')} without a line of history")
    entries = history.HistoryEntry.objects.count()
    return _said(
        faults, f"The history holds from its first to its last of {count(entries, 'entry', 'entries')}."
    )


def add_up() -> Checked:
    return _said(proof.prove(), f"The accounts add up: {count(Entry.objects.count(), 'entry', 'entries')}.")


def recounted() -> Checked:
    done = recount()
    return _said(
        done.faults,
        f"The books are what the papers say: {count(done.lines, 'line')}, {count(done.sums, 'sum')}.",
    )


def stocked() -> Checked:
    summed = Part.objects.annotate(
        hand=Coalesce(Sum("moves__on_hand_change"), 0), aside=Coalesce(Sum("moves__reserved_change"), 0)
    )
    off = summed.exclude(on_hand=F("hand"), reserved=F("aside")).values_list("number", flat=True)
    return _said(
        [f"part {number} is not the sum of its moves" for number in off],
        f"{count(Part.objects.count(), 'part')} are the sum of their moves.",
    )


def all_files(gone: set[str]) -> Checked:
    """Each row that names a file has it. `gone` were cleared away while the backup was made."""
    wanted = {
        file_store.name_of(digest, folder="photos", suffix=".jpg")
        for digest in Photo.objects.values_list("sha256", flat=True)
    }
    wanted |= {
        file_store.name_of(paper.sha256, folder="papers", suffix=paper_files.suffix_of(paper))
        for paper in Paper.objects.exclude(sha256="").only("maker", "sha256")
    }
    missing = sorted(wanted - set(file_store.names()) - gone)
    return _said(
        [f"the file {name} is missing" for name in missing],
        f"{count(len(wanted), 'photo or paper', 'photos and papers')} are there.",
    )


def codes_open() -> Checked:
    """With the keys of the machine that proves; a copy without them is whole, but its codes stay shut."""
    needed = unlocking.names_in_use()
    faults = (
        [f"the key {name} is missing" for name in sorted(needed - set(unlocking.keys()))] if needed else []
    )
    return _said(faults, "The keys for the unlock codes are here." if needed else "No unlock codes are held.")


def silent(*, at: dt.datetime) -> Checked:
    """Nothing waits to go; the clock's own letters, written in the copy just now, do not go either."""
    before = Letter.objects.filter(state__in=["pending", "claimed"]).count()
    clock.tick(at=at)
    drain.drain(at=at + dt.timedelta(hours=2))
    sent = len(getattr(mail, "outbox", []))
    faults = [f"{count(before, 'letter')} would go"] if before else []
    if sent:
        faults.append(f"{count(sent, 'letter')} went")
    held = Letter.objects.filter(state="held").count()
    return _said(faults, f"0 letters went from the copy; {count(held, 'is', 'are')} held.")


def _said(faults: list[str], well: str) -> Checked:
    if not faults:
        return True, well
    more = f" and {len(faults) - SHOWN} more" if len(faults) > SHOWN else ""
    text = "; ".join(one.rstrip(".") for one in faults[:SHOWN]) + more + "."
    return False, text[0].upper() + text[1:]


def _ask(question: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(question)
        return list(cursor.fetchall())
