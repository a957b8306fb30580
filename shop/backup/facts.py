"""Reads what is in a database, on either engine, through a plain connection of its own."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Protocol

from shop.backup.manifest import Facts
from shop.backup.rows import digest_of

HISTORY, POSTINGS, MIGRATIONS = "intake_historyhead", "quotes_posting", "django_migrations"


class Reader(Protocol):
    """A database that stands still while it is read."""

    def tables(self) -> list[str]: ...

    def rows(self, table: str) -> Iterator[Sequence[object]]:
        """All columns, in key order, a piece at a time."""

    def triggers(self) -> list[str]: ...

    def ask(self, question: str) -> list[tuple[object, ...]]: ...


def gather(reader: Reader) -> Facts:
    """Counts and digests of every table, and what is said besides."""
    tables = sorted(reader.tables())
    return Facts(
        tables={table: digest_of(reader.rows(table)) for table in tables},
        triggers=tuple(sorted(reader.triggers())),
        history=_history(reader) if HISTORY in tables else (0, ""),
        money=_money(reader) if POSTINGS in tables else {},
        migrations=_migrations(reader) if MIGRATIONS in tables else (),
    )


def _history(reader: Reader) -> tuple[int, str]:
    found = reader.ask(f"SELECT seq, digest FROM {HISTORY}")  # noqa: S608 -- a name of this module
    return (int(str(found[0][0])), str(found[0][1])) if found else (0, "")


def _money(reader: Reader) -> dict[str, str]:
    sums: dict[str, Decimal] = {}
    for account, amount in reader.ask(f"SELECT account, amount FROM {POSTINGS}"):  # noqa: S608 -- as above
        sums[str(account)] = sums.get(str(account), Decimal(0)) + Decimal(str(amount))
    return {account: str(sums[account].normalize()) for account in sorted(sums)}


def _migrations(reader: Reader) -> tuple[str, ...]:
    done = reader.ask(f"SELECT app, name FROM {MIGRATIONS} ORDER BY app, name")  # noqa: S608 -- as above
    return tuple(f"{app}.{name}" for app, name in done)
