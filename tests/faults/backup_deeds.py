"""What the children of the nursery do about backups: one writes all the time, another backs up and puts back."""

import datetime as dt
import shutil
import sqlite3
import sys
import time
from pathlib import Path
from typing import Any

import psycopg
from django.conf import settings
from django.db import connection

from shop.backup import keys, making, proving, restoring
from shop.models import BackupSet
from tests.faults.deeds import _request

# Each answers with a number that must be nought in every copy, whatever was being written when it was made.
NOUGHTS = {
    "orders without a line of history": (
        "SELECT COUNT(*) FROM intake_order o WHERE NOT EXISTS (SELECT 1 FROM intake_historyentry h WHERE h.order_id = o.id)"
    ),
    "orders without a letter": (
        "SELECT COUNT(*) FROM intake_order o JOIN intake_customer c ON c.id = o.customer_id "
        "WHERE c.email = 'busy@example.com' AND NOT EXISTS (SELECT 1 FROM intake_letter l WHERE l.order_id = o.id)"
    ),
    "links of the chain that do not fit": (
        "SELECT COUNT(*) FROM intake_historyentry n JOIN intake_historyentry p ON p.seq = n.seq - 1 WHERE n.previous <> p.digest"
    ),
    "entries beside the head of the chain": (
        "SELECT (SELECT COUNT(*) FROM intake_historyentry) - COALESCE((SELECT seq FROM intake_historyhead), 0) "
        "+ (SELECT COUNT(*) FROM intake_historyhead h WHERE h.seq > 0 AND NOT EXISTS "
        "(SELECT 1 FROM intake_historyentry e WHERE e.seq = h.seq AND e.digest = h.digest))"
    ),
}


def write_until(*, stop: str) -> None:
    """One sent request after another, each a transaction of its own, until the file `stop` is there."""
    while not Path(stop).exists():
        _request(email="busy@example.com")
        # A breath: SQLite's other writers look only ten times a second, and would find it taken for ever.
        time.sleep(0.01)


def back_up_and_put_back(*, count: int) -> dict[str, Any]:
    """So many backups, each put back and looked at; what was wrong, and how many orders the first and the last one held."""
    faults: list[str] = []
    orders: list[int] = []
    for number in range(count):
        at = dt.datetime.now(dt.UTC)
        row = BackupSet.objects.create(name=f"busy-{number}-{at:%H%M%S%f}", why="hand", began_at=at)
        making.make(row)
        file = making.file_of(row.name)
        with making.work_folder() as work, proving._place(work / "copy") as place:
            restored = restoring.restore(file, place, keys.opening())
            faults += restored.differences
            faults += [f"{name}: {found}" for name, found in _looked_at(place).items() if found]
            orders.append(restored.manifest.facts.tables["intake_order"][0])
        file.unlink()
        BackupSet.objects.filter(pk=row.pk).delete()
        print(f"{number + 1} of {count} put back, faults: {faults}", file=sys.stderr, flush=True)
    shutil.rmtree(settings.BACKUP_FOLDER, ignore_errors=True)
    Path(settings.BACKUP_FOLDER).mkdir(mode=0o700)
    return {"faults": faults, "orders": [orders[0], orders[-1]], "made": len(orders)}


def _looked_at(place: restoring.Place) -> dict[str, Any]:
    if connection.vendor == "postgresql":
        with psycopg.connect(**place.postgres) as link:
            return {name: _one(link.execute(question).fetchone()) for name, question in NOUGHTS.items()}
    with sqlite3.connect(place.folder / restoring.DATABASE_FILE) as link:
        found = {name: _one(link.execute(question).fetchone()) for name, question in NOUGHTS.items()}
        found["rows that point at nothing"] = len(link.execute("PRAGMA foreign_key_check").fetchall())
        found["pages that are damaged"] = len(link.execute("PRAGMA integrity_check").fetchall()) - 1
    link.close()
    return found


def _one(row: Any) -> int:
    return int(row[0])
