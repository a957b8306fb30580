"""The running shop's own role on PostgreSQL: all eight attacks of SQL on what never changes are refused, the shop goes on."""

import secrets

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from intake import history
from intake.append_only import blanks_of
from intake.models import HistoryEntry
from intake.stations import Station
from tests import walk
from tests.intake.test_append_only import GUARDED

ROLE = f"bench_app_{secrets.token_hex(4)}"  # roles belong to the whole server, and tests run side by side
MODELS = {model._meta.db_table: model for model in apps.get_models()}
on_postgres = pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite has no roles")
on_sqlite = pytest.mark.skipif(connection.vendor != "sqlite", reason="says that SQLite has none")


@pytest.fixture
def app_role(bench):
    """From here on this connection is the running shop's role; in the test's transaction, so that nothing of it stays."""
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE ROLE {ROLE}")
        call_command("grant_app_role", ROLE)
        cursor.execute(f"SET LOCAL ROLE {ROLE}")
        yield bench
        cursor.execute("RESET ROLE")


def refused(statement: str) -> str:
    with pytest.raises(DatabaseError) as fault, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    return str(fault.value)


def attacks(table: str) -> dict[str, str]:
    """Eight ways to change what was written."""
    columns = [field.column for field in MODELS[table]._meta.concrete_fields if not field.primary_key]
    column = next(name for name in columns if name not in blanks_of(table))
    key = MODELS[table]._meta.pk.column
    return {
        "update": f'UPDATE {table} SET "{column}" = "{column}"',
        "delete": f"DELETE FROM {table}",
        "upsert": f'INSERT INTO {table} SELECT * FROM {table} WHERE true ON CONFLICT ("{key}") DO UPDATE SET "{column}" = excluded."{column}"',
        "merge": f'MERGE INTO {table} AS t USING {table} AS s ON t."{key}" = s."{key}" WHEN MATCHED THEN DELETE',
        "truncate": f"TRUNCATE {table} CASCADE",
        "drop the trigger": f"DROP TRIGGER {table}_row_only_added ON {table}",
        "switch the trigger off": f"ALTER TABLE {table} DISABLE TRIGGER ALL",
        "act as a replica": "SET session_replication_role = replica",
    }


@on_postgres
def test_eight_attacks_on_each_table_are_refused_for_the_role_of_the_shop(app_role):
    said = {
        f"{table}: {name}": refused(statement)
        for table in sorted(GUARDED)
        for name, statement in attacks(table).items()
    }
    assert len(said) == 8 * len(GUARDED)
    assert not [
        name
        for name, words in said.items()
        if "permission denied" not in words and "must be owner" not in words
    ]


@on_postgres
def test_role_can_run_an_order_from_the_request_home(app_role, at):
    order = walk.to(walk.request(at=at), Station.HOME, by=app_role.technician, at=at)
    assert order.station == Station.HOME
    assert history.verify() is None and HistoryEntry.objects.count() > 10


@on_postgres
def test_role_reaches_no_table_definition_and_no_migration(app_role):
    assert "permission denied" in refused("DELETE FROM django_migrations")
    assert "must be owner" in refused("DROP TABLE intake_historyentry CASCADE")
    assert "permission denied" in refused(
        "CREATE OR REPLACE FUNCTION only_added() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NULL; END $$"
    )
    assert "permission denied" in refused("CREATE TABLE other (x int)")


@on_postgres
def test_role_that_is_not_there_is_refused(db):
    with pytest.raises(CommandError, match="There is no role nobody_here"):
        call_command("grant_app_role", "nobody_here")


@on_postgres
def test_owner_is_not_made_less(db):
    with pytest.raises(CommandError, match="as the owner of the tables"):
        call_command("grant_app_role", connection.settings_dict["USER"])


@on_sqlite
def test_sqlite_says_that_it_has_no_roles(db):
    with pytest.raises(CommandError, match="SQLite has no roles"):
        call_command("grant_app_role", "anybody")
