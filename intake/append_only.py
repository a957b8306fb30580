"""Tables whose rows are only ever added: triggers that refuse changes, on both engines.

SQLite needs `recursive_triggers=ON` on each connection, or INSERT OR REPLACE slips past; PostgreSQL needs a
statement trigger besides, or TRUNCATE does.

A person who is erased has words in such rows too. For these tables, one change is let through: a named column goes to its
one erased value, and everything else of the row stays. Which columns those are, each floor says (`let_blank`).
"""

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import migrations

_NAME = "only_added"
_PORTION = 400


@dataclass(frozen=True)
class Erased:
    """What a column holds once it is erased: a plain text, or `"[]"`, `"{}"` where it holds JSON."""

    value: str = ""
    is_json: bool = False

    def sql(self, vendor: str, _old: str) -> str:
        said = "'" + self.value.replace("'", "''") + "'"
        return f"{said}::jsonb" if self.is_json and vendor != "sqlite" else said


@dataclass(frozen=True)
class ErasedWithin:
    """JSON of which only the places named here go, each to its erased value: `{"finding.idea": ""}`. The rest stays."""

    places: tuple[tuple[str, Any], ...]

    def sql(self, vendor: str, old: str) -> str:
        for place, value in self.places:
            said = "'" + json.dumps(value) + "'"
            if vendor == "sqlite":
                old = f"json_replace({old}, '$.{place}', json({said}))"
            else:
                old = f"jsonb_set({old}, '{{{place.replace('.', ',')}}}', {said}::jsonb, false)"
        return old


Blank = Erased | ErasedWithin
_blanks: dict[str, Mapping[str, Blank]] = {}


def let_blank(tables: Mapping[str, Mapping[str, Blank]]) -> None:
    """Say which columns of which tables may be erased. A change here needs a migration that arms the tables anew."""
    _blanks.update(tables)


def blanks_of(table: str) -> Mapping[str, Blank]:
    return _blanks.get(table, {})


def arm(connection: Any, table: str, blanks: Mapping[str, Blank] | None = None) -> None:
    """Put the triggers on one table; without `blanks` with what may be erased in it now."""
    blanks = blanks_of(table) if blanks is None else blanks
    disarm(connection, table)
    with connection.cursor() as cursor:
        columns = [row.name for row in connection.introspection.get_table_description(cursor, table)]
        for statement in _statements(connection.vendor, table, _allowed(connection.vendor, columns, blanks)):
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


def blank(connection: Any, table: str, keys: Iterable[int], *, columns: Collection[str] = ()) -> int:
    """Erase these columns (all that may be, where none is named) of rows by their primary key; returns how many changed."""
    chosen = {name: how for name, how in blanks_of(table).items() if not columns or name in columns}
    pks, done = list(keys), 0
    with connection.cursor() as cursor:
        key = connection.introspection.get_primary_key_column(cursor, table)
        sets = ", ".join(f'"{name}" = {how.sql(connection.vendor, _q(name))}' for name, how in chosen.items())
        differs = " OR ".join(_differs(connection.vendor, name, how) for name, how in chosen.items())
        for start in range(0, len(pks), _PORTION):
            part = pks[start : start + _PORTION]
            marks = ", ".join(["%s"] * len(part))
            cursor.execute(
                f'UPDATE {table} SET {sets} WHERE "{key}" IN ({marks}) AND ({differs})',  # noqa: S608 -- names of our own tables
                part,
            )
            done += cursor.rowcount
    return done


def _q(name: str) -> str:
    return f'"{name}"'


def _same(vendor: str, left: str, right: str) -> str:
    return f"{left} IS {right}" if vendor == "sqlite" else f"{left} IS NOT DISTINCT FROM {right}"


def _differs(vendor: str, name: str, how: Blank) -> str:
    left, right = _q(name), how.sql(vendor, _q(name))
    if isinstance(how, ErasedWithin) and vendor == "sqlite":
        left, right = f"json({left})", f"json({right})"
    return f"NOT ({_same(vendor, left, right)})"


def _allowed(vendor: str, columns: Sequence[str], blanks: Mapping[str, Blank]) -> str:
    """True of an update that erases at least one of the columns and changes nothing else."""
    if not blanks:
        return ""
    new, old = "NEW.{}".format, "OLD.{}".format
    stay = [_same(vendor, new(_q(c)), old(_q(c))) for c in columns if c not in blanks]
    go = []
    for name, how in blanks.items():
        left, right = new(_q(name)), how.sql(vendor, old(_q(name)))
        if isinstance(how, ErasedWithin) and vendor == "sqlite":
            left, right = f"json({left})", f"json({right})"
        unchanged = _same(vendor, new(_q(name)), old(_q(name)))
        go.append(f"({unchanged} OR {_same(vendor, left, right)})")
    moved = " OR ".join(f"NOT ({_same(vendor, new(_q(c)), old(_q(c)))})" for c in blanks)
    return " AND ".join([*stay, *go, f"({moved})"])


def _statements(vendor: str, table: str, allowed: str) -> list[str]:
    said = f"{table} is only ever added to"
    if vendor == "sqlite":
        when = {"update": f"WHEN NOT ({allowed}) " if allowed else "", "delete": ""}
        return [
            f"CREATE TRIGGER {table}_{verb}_{_NAME} BEFORE {verb.upper()} ON {table} {when[verb]}"
            f"BEGIN SELECT RAISE(ABORT, '{said}'); END"
            for verb in ("update", "delete")
        ]
    own = f"{table}_{_NAME}" if allowed else _NAME
    let = f"IF TG_OP = 'UPDATE' AND {allowed} THEN RETURN NEW; END IF; " if allowed else ""
    refuse = "RAISE EXCEPTION '% is only ever added to', TG_TABLE_NAME; "
    row, statement = f"{table}_row_{_NAME}", f"{table}_table_{_NAME}"
    strict = (
        f"CREATE OR REPLACE FUNCTION {_NAME}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {refuse}END $$"
    )
    kept = (
        f"CREATE OR REPLACE FUNCTION {own}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {let}{refuse}END $$"
    )
    return [
        strict,
        kept,
        f"CREATE TRIGGER {row} BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW EXECUTE FUNCTION {own}()",
        f"CREATE TRIGGER {statement} BEFORE TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION {_NAME}()",
    ]


def only_added(*tables: str) -> migrations.RunPython:
    """The migration operation that makes tables append-only."""

    def backwards(_apps: Any, schema_editor: Any) -> None:
        for table in tables:
            disarm(schema_editor.connection, table)

    return migrations.RunPython(_arming({table: {} for table in tables}), backwards)


def only_added_but(tables: Mapping[str, Mapping[str, Blank]]) -> migrations.RunPython:
    """The migration operation that lets an erasure blank these columns of tables that are append-only already."""
    return migrations.RunPython(_arming(tables), _arming({table: {} for table in tables}))


def _arming(tables: Mapping[str, Mapping[str, Blank]]) -> Any:
    def forwards(_apps: Any, schema_editor: Any) -> None:
        for table, blanks in tables.items():
            arm(schema_editor.connection, table, blanks)

    return forwards
