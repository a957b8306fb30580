"""What was erased stands on in SQLite's log of writes until that log is emptied; SQLite itself does it only after some
thousand pages, in a small shop weeks later. https://www.sqlite.org/pragma.html#pragma_wal_checkpoint, from memory.
"""

from django.db import connection


def wipe() -> bool:
    """Carry the log into the database and cut it to nothing. False where there is none, or somebody is at it: then next night."""
    if connection.vendor != "sqlite" or connection.in_atomic_block:
        return False
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        busy = cursor.fetchone()[0]
    return not busy
