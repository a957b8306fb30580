"""Who was erased, kept outside the database and its backups: a restore brings people back, and this erases them again.

One line an erasure: the customer's row, when, the digest of the history's end then. No name, no word. A row's number is
never given twice: SQLite counts it up in a table of its own (AUTOINCREMENT), PostgreSQL in a sequence; and a copy that is
older than the person has no such row, so that there is nothing to do. A row that was made after the erasure's moment is
left alone: after an older copy was brought back, its number may be a new person's.
"""

import datetime as dt
import json
import os
from pathlib import Path

from django.conf import settings

from intake import history
from intake.history import in_turn
from intake.models import Customer
from shop.models import Erasure

FILE = "erased.list"


def place() -> Path:
    """The list of this shop; beside the database's folder, never within a backup."""
    return Path(settings.DATA) / FILE


def keep(customer: int, *, at: dt.datetime, digest: str) -> None:
    """Add one line, on the disk before this returns."""
    line = json.dumps({"customer": customer, "at": at.astimezone(dt.UTC).isoformat(), "digest": digest})
    place().parent.mkdir(parents=True, exist_ok=True)
    start = "\n" if _ends_cut_short() else ""
    out = os.open(place(), os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    try:
        os.write(out, f"{start}{line}\n".encode())
        os.fsync(out)
    finally:
        os.close(out)


def _ends_cut_short() -> bool:
    """A line that follows such a one directly would be lost with it."""
    return place().exists() and not place().read_bytes().endswith(b"\n")


def kept() -> list[tuple[int, dt.datetime]]:
    """Customers' rows and when each was erased. A line cut short by a crash is passed over."""
    found = []
    try:
        lines = place().read_text().splitlines()
    except FileNotFoundError:
        return []
    for line in lines:
        try:
            told = json.loads(line)
            found.append((int(told["customer"]), dt.datetime.fromisoformat(told["at"])))
        except (ValueError, KeyError, TypeError):
            continue
    return found


def write_missing() -> int:
    """Add the lines that a crash or a full disk kept from being written, from the erasures' rows; returns how many."""
    there = {customer for customer, _ in kept()}
    missing = [row for row in Erasure.objects.order_by("pk") if row.customer_id not in there]
    for row in missing:
        keep(row.customer_id, at=row.at, digest="")
    return len(missing)


def apply(*, at: dt.datetime) -> int:
    """Erase again whoever a restore brought back; returns how many. Nothing is asked and nothing refused: it was decided."""
    return sum(_again(customer, erased, at=at) for customer, erased in kept())


@in_turn
def _again(customer: int, erased: dt.datetime, *, at: dt.datetime) -> bool:
    from shop.keeping import erasing, places  # noqa: PLC0415 -- erasing keeps its lines here

    row = Customer.objects.filter(pk=customer, erased_at__isnull=True, created_at__lte=erased).first()
    if row is None:
        return False
    blanked = erasing.clear_all(row, places.scope_of(row), at=at)
    facts = {"customer": row.pk, "blanked": blanked, "first": erased.isoformat()}
    history.record(order=None, what="person erased again", by="erasure", at=at, facts=facts)
    return True
