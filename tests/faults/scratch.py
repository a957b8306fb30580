"""A database of its own for tests that need real processes: a file, or on PostgreSQL a database made and dropped."""

import json
import os
import secrets
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from django.db import connection

ROOT = Path(__file__).resolve().parents[2]


class Nursery:
    """Talks to `tests/faults/nursery.py`."""

    def __init__(self, surroundings: dict[str, str]) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.nursery"],
            cwd=ROOT,
            env=surroundings,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def _ask(self, **order: Any) -> Any:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps(order) + "\n")
        self._process.stdin.flush()
        answer = self._process.stdout.readline()
        assert answer, "the nursery has gone; its own lines above say why"
        return json.loads(answer)

    def call(self, deed: str, **given: Any) -> Any:
        result = self._ask(door="call", deed=deed, given=given)
        assert not (isinstance(result, dict) and "broken" in result), result
        return result

    def each(self, deed: str, **lists: list[Any]) -> list[Any]:
        """What the deed says of each of many: `each("quote_after", pk=[1, 2])`."""
        givens = [dict(zip(lists, row, strict=True)) for row in zip(*lists.values(), strict=True)]
        result = self._ask(door="each", deed=deed, givens=givens)
        assert isinstance(result, list), result
        return result

    def start(self, deed: str, **given: Any) -> int:
        return self._ask(door="start", deed=deed, given=given)

    def ended(self, pid: int) -> int | None:
        return self._ask(door="ended", pid=pid)

    def kill(self, pid: int) -> int | None:
        """SIGKILL, as pulling the plug of the process. Says how it ended: 0 when it was quicker."""
        os.kill(pid, signal.SIGKILL)
        return self.ended(pid)

    def race(self, deed: str, subjects: list[Any], racers: int) -> list[list[Any]]:
        return self._ask(door="race", deed=deed, subjects=subjects, racers=racers)

    def close(self) -> None:
        self._process.communicate(timeout=30)


@contextmanager
def database(folder: Path, *, like: str = "") -> Iterator[str]:
    """The address of an empty database of the engine the tests run on, or of a copy of the one at `like`."""
    if connection.vendor == "sqlite":
        place = folder / "scratch.sqlite3"
        if like:
            with closing(sqlite3.connect(like.removeprefix("sqlite:///"))) as link:
                link.execute("VACUUM INTO ?", [str(place)])
        yield f"sqlite:///{place}"
        return
    import psycopg
    from psycopg import sql

    name, told = f"scratch_{secrets.token_hex(6)}", connection.settings_dict
    door = {"host": told["HOST"], "port": told["PORT"], "user": told["USER"], "password": told["PASSWORD"]}
    with psycopg.connect(dbname="postgres", autocommit=True, **door) as link:
        model = sql.Identifier(like.rpartition("/")[2] or "template1")
        link.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(name), model))
        try:
            yield (
                f"postgres://{told['USER']}:{told['PASSWORD']}@{told['HOST'] or 'localhost'}:{told['PORT'] or 5432}/{name}"
            )
        finally:
            link.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


def surroundings(folder: Path, *, address: str, mail_port: int) -> dict[str, str]:
    """Variables of a shop of its own: nothing of the one that runs the tests comes along."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    return {
        **kept,
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "BENCHPOST_DATA": str(folder),
        "MEDIA_ROOT": "",
        "DATABASE_URL": address,
        "REDIS_URL": "",
        "EMAIL_URL": f"smtp://127.0.0.1:{mail_port}",
        "SITE_ADDRESS": "http://localhost:8000",
        "PYTHONUNBUFFERED": "1",
    }


@contextmanager
def lived(module: str, folder: Path) -> Iterator[subprocess.CompletedProcess[str]]:
    """`module`, run to its end in a shop of its own that writes all it writes, letters too, into `folder`."""
    with database(folder) as address:
        life = subprocess.run(
            [sys.executable, "-m", module],
            cwd=ROOT,
            env=surroundings(folder, address=address, mail_port=1) | {"EMAIL_URL": ""},
            capture_output=True,
            text=True,
            timeout=600,
        )
        assert life.returncode == 0, life.stderr[-3000:]
        yield life


@contextmanager
def shop(folder: Path) -> Iterator[str]:
    """The address of a database with a shop set up in it: made once, copied by those that follow."""
    with database(folder) as address:
        nurse = Nursery(surroundings(folder, address=address, mail_port=1))
        try:
            nurse.call("prepare")
        finally:
            nurse.close()
        yield address


@contextmanager
def nursery(folder: Path, *, mail_port: int, like: str) -> Iterator[Nursery]:
    """A nursery over a copy of the shop at `like`; its letters go to the server at `mail_port`."""
    with database(folder, like=like) as address:
        nurse = Nursery(surroundings(folder, address=address, mail_port=mail_port))
        try:
            yield nurse
        finally:
            nurse.close()
