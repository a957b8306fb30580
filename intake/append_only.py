"""Tables whose rows are only ever added: triggers that refuse changes, on both engines.

SQLite needs `recursive_triggers=ON` on each connection, or INSERT OR REPLACE slips past; PostgreSQL needs a
statement trigger besides, or TRUNCATE does.
"""

from typing import Any

from django.db import migrations

_NAME = "only_added"


def arm(connection: Any, table: str) -> None:
    """Put the triggers on one table."""
    with connection.cursor() as cursor:
        for statement in _statements(connection.vendor, table):
            cursor.execute(statement)


def disarm(connection: Any, table: str) -> None:
    """Take them off again (backwards migrations, and tests that empty the tables)."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            for verb in ("update", "delete"):
                cursor.execute(f"DROP TRIGGER IF EXISTS {table}_{verb}_{_NAME}")
        else:
            for kind in ("row", "table"):
                cursor.execute(f"DROP TRIGGER IF EXISTS {table}_{kind}_{_NAME} ON {table}")


def _statements(vendor: str, table: str) -> list[str]:
    if vendor == "sqlite":
        return [
            (
                f"CREATE TRIGGER IF NOT EXISTS {table}_{verb}_{_NAME} BEFORE {verb.upper()} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} is only ever added to'); END"
            )
            for verb in ("update", "delete")
        ]
    return [
        (
            f"CREATE OR REPLACE FUNCTION {_NAME}() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '% is only ever added to', TG_TABLE_NAME; END $$"
        ),
        f"DROP TRIGGER IF EXISTS {table}_row_{_NAME} ON {table}",
        (
            f"CREATE TRIGGER {table}_row_{_NAME} BEFORE UPDATE OR DELETE ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {_NAME}()"
        ),
        f"DROP TRIGGER IF EXISTS {table}_table_{_NAME} ON {table}",
        (
            f"CREATE TRIGGER {table}_table_{_NAME} BEFORE TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {_NAME}()"
        ),
    ]


def only_added(*tables: str) -> migrations.RunPython:
    """The migration operation that makes tables append-only."""

    def forwards(_apps: Any, schema_editor: Any) -> None:
        for table in tables:
            arm(schema_editor.connection, table)

    def backwards(_apps: Any, schema_editor: Any) -> None:
        for table in tables:
            disarm(schema_editor.connection, table)

    return migrations.RunPython(forwards, backwards)
