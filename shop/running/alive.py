"""Two addresses for whoever keeps the process running: it lives; it can serve. Neither says more to a stranger."""

import threading
import time
from collections.abc import Callable

from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from intake import file_store

# Asked by machines every few seconds, by strangers as often as they like: one look serves all for so long.
KEEP_SECONDS = 5.0
PLAIN = "text/plain; charset=utf-8"


@never_cache
@require_safe
def live(request: HttpRequest) -> HttpResponse:
    """The process answers. Asks nothing of the database."""
    return HttpResponse("live\n", content_type=PLAIN)


@never_cache
@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """200 while orders can be taken, else 503 with one word for each thing that is missing."""
    missing = _kept.read()
    if not missing:
        return HttpResponse("ready\n", content_type=PLAIN)
    return HttpResponse(" ".join(missing) + "\n", content_type=PLAIN, status=503)


def missing_now() -> list[str]:
    """Words of what is missing: database, migrations, files."""
    try:
        connection.ensure_connection()
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        executor = MigrationExecutor(connection)
        plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    except DatabaseError:
        return ["database"]
    found = ["migrations"] if plan else []
    return found if file_store.writable() else [*found, "files"]


class _Kept:
    def __init__(self, look: Callable[[], list[str]]) -> None:
        self._look, self._lock = look, threading.Lock()
        self.forget()

    def forget(self) -> None:
        self._found: list[str] = []
        self._until = float("-inf")

    def read(self) -> list[str]:
        with self._lock:
            if time.monotonic() >= self._until:
                self._found = self._look()
                self._until = time.monotonic() + KEEP_SECONDS
            return self._found


_kept = _Kept(lambda: missing_now())


def forget() -> None:
    """The next question is answered anew."""
    _kept.forget()
