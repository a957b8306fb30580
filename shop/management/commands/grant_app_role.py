"""Gives a database role what the running shop needs and no more: it can add to the history and never change it."""

from typing import Any

from django.apps import apps
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection, transaction

from intake.append_only import blanks_of

ARMED = "SELECT DISTINCT tgrelid::regclass::text FROM pg_trigger WHERE tgname LIKE '%only_added' AND tgenabled <> 'D'"
# The versions of the tables: read at each start, written by who migrates.
READ_ONLY = ("django_migrations", "django_content_type", "auth_permission")


class Command(BaseCommand):
    help = "Grant a PostgreSQL role (made before, by its owner) what the web and worker processes need; migrate as another."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("role", help="the name of the role, made with CREATE ROLE")

    @transaction.atomic
    def handle(self, *args: Any, **options: Any) -> None:
        role = options["role"]
        if connection.vendor != "postgresql":
            raise CommandError(
                "SQLite has no roles: whoever may write to the file may change it. Use PostgreSQL for this."
            )
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT current_user = %s, EXISTS (SELECT 1 FROM pg_roles WHERE rolname = %s)", [role, role]
            )
            is_me, known = cursor.fetchone()
            if is_me or not known:
                raise CommandError(
                    "Run this as the owner of the tables, not as the role itself."
                    if is_me
                    else f"There is no role {role}."
                )
            cursor.execute(ARMED)
            added_only = {row[0] for row in cursor.fetchall()}
            for statement in grants(
                role=connection.ops.quote_name(role), added_only=added_only, tables=_tables()
            ):
                cursor.execute(statement)
        self.stdout.write(f"{role} may now run the shop; {len(added_only)} tables it can only add to.")


def _tables() -> list[str]:
    known = connection.introspection.table_names()
    own = {model._meta.db_table for model in apps.get_models(include_auto_created=True)}
    return sorted(name for name in known if name in own or name in ("cache_rows", *READ_ONLY))


def grants(*, role: str, added_only: set[str], tables: list[str]) -> list[str]:
    """The statements in order; what the role held before on these tables is taken first."""
    statements = [
        f"GRANT USAGE ON SCHEMA public TO {role}",
        f"GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {role}",
    ]
    for table in tables:
        name = connection.ops.quote_name(table)
        statements.append(f"REVOKE ALL ON {name} FROM {role}")
        if table in READ_ONLY:
            verbs = "SELECT"
        elif table in added_only:
            verbs = "SELECT, INSERT"
            # A person's words may be erased there; the trigger lets that through and nothing else.
            if columns := ", ".join(connection.ops.quote_name(column) for column in blanks_of(table)):
                verbs += f", UPDATE ({columns})"
        else:
            verbs = "SELECT, INSERT, UPDATE, DELETE"
        statements.append(f"GRANT {verbs} ON {name} TO {role}")
    return statements
