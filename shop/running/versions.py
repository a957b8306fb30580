"""What runs here: the program, what it stands on, and how far the database is."""

import platform
import sqlite3
import tomllib
from functools import cache

import django
from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

FLOORS = ("intake", "quotes", "shop")


@cache
def program() -> str:
    """The version this program calls itself."""
    with (settings.ROOT / "pyproject.toml").open("rb") as file:
        return str(tomllib.load(file)["project"]["version"])


def versions() -> list[tuple[str, str]]:
    """Names and versions, to be read aloud to whoever helps. One or two queries."""
    rows = (
        MigrationRecorder.Migration.objects.filter(app__in=FLOORS).order_by("id").values_list("app", "name")
    )
    newest = dict(rows)
    return [
        ("Benchpost", program()),
        ("Python", platform.python_version()),
        ("Django", django.get_version()),
        ("Database", _database()),
        ("Changes of the database", ", ".join(f"{app} {newest[app][:4]}" for app in FLOORS if app in newest)),
    ]


def _database() -> str:
    if connection.vendor == "sqlite":
        return f"SQLite {sqlite3.sqlite_version}"
    connection.ensure_connection()
    number = connection.pg_version  # type: ignore[attr-defined]  # the PostgreSQL connection's own
    return f"PostgreSQL {number // 10000}.{number % 10000}"
