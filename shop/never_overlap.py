"""Clocked minutes of one person never overlap: triggers that refuse it, on both engines.

The action keeps them apart already; the triggers hold for whoever writes past it. Minutes written by hand are
minutes of a day and lie outside the rule. SQLite loses a table's triggers when the table is made anew: a later
migration that changes the table arms them again, as `shop.migrations.0004` does.
"""

from typing import Any

from django.db import migrations

TABLE = "shop_worksession"
SENTENCE = "minutes of one person never overlap"
_OTHERS = (
    "SELECT 1 FROM shop_worksession AS other "
    "WHERE other.by_id = NEW.by_id AND NOT other.by_hand AND other.id <> NEW.id "
    "AND (NEW.ended_at IS NULL OR other.started_at < NEW.ended_at) "
    "AND (other.ended_at IS NULL OR NEW.started_at < other.ended_at)"
)


def arm(connection: Any) -> None:
    """Put the triggers on the table of the minutes."""
    with connection.cursor() as cursor:
        for statement in _sqlite() if connection.vendor == "sqlite" else _postgresql():
            cursor.execute(statement)


def disarm(connection: Any) -> None:
    """Take them off again."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            for verb in ("insert", "update"):
                cursor.execute(f"DROP TRIGGER IF EXISTS {TABLE}_{verb}_never_overlap")
        else:
            cursor.execute(f"DROP TRIGGER IF EXISTS {TABLE}_never_overlap ON {TABLE}")
            cursor.execute(f"DROP FUNCTION IF EXISTS {TABLE}_never_overlap()")


def _sqlite() -> list[str]:
    return [
        (
            f"CREATE TRIGGER IF NOT EXISTS {TABLE}_{verb}_never_overlap AFTER {verb.upper()} ON {TABLE} "
            f"WHEN NOT NEW.by_hand BEGIN SELECT RAISE(ABORT, '{SENTENCE}') WHERE EXISTS ({_OTHERS}); END"
        )
        for verb in ("insert", "update")
    ]


def _postgresql() -> list[str]:
    # The lock lets two who write at once wait for each other, so that the second sees what the first has written.
    return [
        (
            f"CREATE OR REPLACE FUNCTION {TABLE}_never_overlap() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"IF NEW.by_hand THEN RETURN NULL; END IF; "
            f"PERFORM pg_advisory_xact_lock(hashtext('{TABLE}'), hashint8(NEW.by_id)); "
            f"IF EXISTS ({_OTHERS}) THEN "
            f"RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'exclusion_violation'; END IF; "
            f"RETURN NULL; END $$"
        ),
        f"DROP TRIGGER IF EXISTS {TABLE}_never_overlap ON {TABLE}",
        (
            f"CREATE TRIGGER {TABLE}_never_overlap AFTER INSERT OR UPDATE ON {TABLE} "
            f"FOR EACH ROW EXECUTE FUNCTION {TABLE}_never_overlap()"
        ),
    ]


def never_overlap() -> migrations.RunPython:
    """The migration operation that arms the table."""
    return migrations.RunPython(
        lambda _apps, schema_editor: arm(schema_editor.connection),
        lambda _apps, schema_editor: disarm(schema_editor.connection),
    )
