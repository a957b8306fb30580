"""Of all processes that would change the database at the same time, one does and the others wait for it."""

import fcntl
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import connection

# Any number, the same for all who change this database.
LOCK = 7_309_215


@contextmanager
def one_at_a_time(say: Callable[[str], object]) -> Iterator[None]:
    """Holds the lock while inside. `say` is told once when somebody else has it. The death of a holder frees it.

    On PostgreSQL a lock of the connection; beside a SQLite file a lock on a file of its own.
    """
    words = "Another process is changing the database; this one waits for it."
    if connection.vendor == "postgresql":
        with _in_the_database(say, words):
            yield
        return
    with (Path(settings.DATA) / "changing.lock").open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say(words)
            fcntl.flock(file, fcntl.LOCK_EX)
        yield


@contextmanager
def _in_the_database(say: Callable[[str], object], words: str) -> Iterator[None]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_lock(%s)", [LOCK])
        if not cursor.fetchone()[0]:
            say(words)
            cursor.execute("SELECT pg_advisory_lock(%s)", [LOCK])
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_unlock(%s)", [LOCK])
