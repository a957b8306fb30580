"""PostgreSQL: dump, facts of the same moment, and restore, with the server's own tools.

The facts are read in a transaction whose snapshot the dump takes over (`pg_export_snapshot`, `pg_dump --snapshot`), so that
both see one moment. Only a restore proves a dump: of one that is cut short `pg_restore --list` still says yes.
"""

import os
import re
import shutil
import subprocess
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg
from psycopg import conninfo, sql

from shop.backup.facts import gather
from shop.backup.faults import BackupFault
from shop.backup.manifest import Facts
from shop.setup import half

CHUNK = 2_000
HOMES = Path("/usr/lib/postgresql")
NOT_OF_THE_CLIENT = {"pool", "isolation_level", "assume_role", "server_side_binding"}


def address(told: dict[str, Any]) -> dict[str, str]:
    """What psycopg and the tools need, from an entry of DATABASES."""
    more = {
        name: str(value) for name, value in told.get("OPTIONS", {}).items() if name not in NOT_OF_THE_CLIENT
    }
    named = {
        "dbname": told["NAME"],
        "user": told.get("USER"),
        "password": told.get("PASSWORD"),
        "host": told.get("HOST"),
        "port": told.get("PORT"),
    }
    return {**more, **{name: str(value) for name, value in named.items() if value}}


def copy(where: dict[str, str], target: Path) -> Facts:
    """Dump the database into the new file `target`, and say what is in the dump. Raises BackupFault."""
    with closing(_connect(where)) as link:
        link.isolation_level, link.read_only = psycopg.IsolationLevel.REPEATABLE_READ, True
        snapshot = link.execute("SELECT pg_export_snapshot()").fetchone()
        assert snapshot is not None  # noqa: S101 -- one row, always
        tool = _tool("pg_dump", link.info.server_version)
        _run(
            [
                tool,
                "--format=custom",
                f"--snapshot={snapshot[0]}",
                "--no-owner",
                "--no-privileges",
                "--file",
                str(target),
            ],
            where,
            "The database could not be dumped",
        )
        try:
            return gather(_Reader(link))
        except psycopg.Error as fault:
            raise BackupFault(f"The database could not be read ({type(fault).__name__}).") from fault


def facts(where: dict[str, str]) -> Facts:
    """What is in a database. Raises BackupFault."""
    with closing(_connect(where)) as link:
        link.isolation_level, link.read_only = psycopg.IsolationLevel.REPEATABLE_READ, True
        return gather(_Reader(link))


def put_back(dump: Path, where: dict[str, str]) -> None:
    """Restore a dump into an empty database, all of it or nothing. Raises BackupFault."""
    with closing(_connect(where)) as link:
        tool = _tool("pg_restore", link.info.server_version)
    words = [tool, "--exit-on-error", "--single-transaction", "--no-owner", "--no-privileges", str(dump)]
    _run(words, where, "The dump could not be restored")


def is_empty(where: dict[str, str]) -> bool:
    """Whether a database has no table of ours or anybody's. Raises BackupFault."""
    with closing(_connect(where)) as link:
        return not _Reader(link).tables()


def mark(where: dict[str, str]) -> None:
    """Put the mark of a restore that has not ended into a database. Raises BackupFault."""
    with _connect(where) as link:
        link.execute(sql.SQL("CREATE TABLE IF NOT EXISTS {} (id integer)").format(sql.Identifier(half.TABLE)))


def take_mark_off(where: dict[str, str]) -> None:
    with _connect(where) as link:
        link.execute(sql.SQL("DROP TABLE IF EXISTS {}").format(sql.Identifier(half.TABLE)))


def make_beside(where: dict[str, str], name: str) -> dict[str, str]:
    """A new empty database on the same server; returns its address. Raises BackupFault."""
    with closing(_connect(where)) as link:
        link.autocommit = True
        try:
            link.execute(sql.SQL("CREATE DATABASE {} TEMPLATE template0").format(sql.Identifier(name)))
        except psycopg.Error as fault:
            raise BackupFault(
                "A database for the proof could not be made; the shop's database user needs the right to make databases "
                "(ALTER ROLE ... CREATEDB)."
            ) from fault
    return {**where, "dbname": name}


def drop_beside(where: dict[str, str], name: str) -> None:
    with closing(_connect(where)) as link:
        link.autocommit = True
        link.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))


def leftovers(where: dict[str, str], prefix: str) -> list[str]:
    """Names of databases that begin with `prefix`."""
    with closing(_connect(where)) as link:
        found = link.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [prefix])
        return [name for (name,) in found.fetchall()]


def _connect(where: dict[str, str]) -> psycopg.Connection[Any]:
    try:
        return psycopg.connect(**{"connect_timeout": "10", **where, "options": "-c TimeZone=UTC"})  # type: ignore[arg-type]
    except psycopg.Error as fault:
        raise BackupFault("The database server does not answer or refuses the sign-in.") from fault


def _tool(name: str, server: int) -> str:
    """The newest of that name on this machine. `server` as psycopg tells it: 150018 is 15.18."""
    homes = sorted(HOMES.glob("*/bin"), key=lambda place: _number(place.parent.name), reverse=True)
    places = [*(str(home / name) for home in homes if (home / name).exists()), shutil.which(name)]
    found = {place: _version(place) for place in places if place}
    best = max(found, key=lambda place: found[place], default=None)
    if best is None:
        raise BackupFault(
            f"{name} is not on this machine; install PostgreSQL's client programs of version {server // 10000} or newer "
            "(apt-get install postgresql-client)."
        )
    if found[best] < server // 10000:
        raise BackupFault(
            f"{name} is of version {found[best]} and the server of {server // 10000}; install the client programs of the "
            "server's version or newer."
        )
    return best


def _version(tool: str) -> int:
    done = subprocess.run([tool, "--version"], capture_output=True, text=True, check=False)  # noqa: S603 -- found above
    found = re.search(r"(\d+)", done.stdout)
    return int(found[1]) if found else 0


def _number(name: str) -> int:
    return int(name) if name.isdigit() else 0


def _run(words: list[str], where: dict[str, str], failed: str) -> None:
    """The password goes by the surroundings, never by the words, which every user of the machine can read."""
    plain = {name: value for name, value in where.items() if name not in ("password", "options")}
    surroundings = {**os.environ, "PGPASSWORD": where.get("password", ""), "LC_MESSAGES": "C"}
    surroundings = {name: value for name, value in surroundings.items() if value or name != "PGPASSWORD"}
    words = [*words, "--dbname", conninfo.make_conninfo(**plain)]
    done = subprocess.run(words, env=surroundings, capture_output=True, text=True, check=False)  # noqa: S603 -- a tool found above
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["no reason given"])[-1]
        room = "No space left" in done.stderr or "could not write" in done.stderr
        raise BackupFault(
            "There is no room left on the disk for the dump." if room else f"{failed}: {last[:160]}"
        )


class _Reader:
    def __init__(self, link: psycopg.Connection[Any]) -> None:
        self._link = link

    def tables(self) -> list[str]:
        found = self.ask("SELECT tablename FROM pg_tables WHERE schemaname = current_schema()")
        return [str(name) for (name,) in found if name != half.TABLE]

    def rows(self, table: str) -> Iterator[Sequence[object]]:
        keys = self._link.execute(
            "SELECT a.attname, a.attcollation <> 0 FROM pg_index i "
            "JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = ANY(i.indkey) "
            "WHERE i.indisprimary AND i.indrelid = %s::regclass ORDER BY array_position(i.indkey::int2[], a.attnum)",
            [f'"{table}"'],
        ).fetchall()
        # Text sorts by its bytes: a server elsewhere may sort letters otherwise.
        ordered = [
            sql.SQL('{} COLLATE "C"' if text else "{}").format(sql.Identifier(name)) for name, text in keys
        ]
        order = sql.SQL(", ").join(ordered or [sql.SQL("{}").format(sql.SQL("1"))])
        with self._link.cursor(name="rows_of_a_table") as cursor:
            cursor.itersize = CHUNK
            cursor.execute(sql.SQL("SELECT * FROM {} ORDER BY {}").format(sql.Identifier(table), order))
            yield from cursor

    def triggers(self) -> list[str]:
        wanted = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled IN ('O', 'A')"
        return [str(name) for (name,) in self.ask(wanted)]

    def ask(self, question: str) -> list[tuple[object, ...]]:
        return self._link.execute(question).fetchall()
