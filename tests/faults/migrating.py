"""Run as `python -m tests.faults.migrating DEED`: what a process does that changes a database. Says one line of JSON."""

import datetime as dt
import hashlib
import json
import sys

import django

# What was landed before the newest changes: a populated database of that time is brought forward.
LANDED = {"intake": "0006", "quotes": "0013", "shop": "0006"}
COUNTED = (
    "intake_order",
    "intake_historyentry",
    "intake_letter",
    "quotes_quote",
    "quotes_move",
    "shop_worksession",
)
SCHEMA = {
    "sqlite": "SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%' AND tbl_name <> 'cache_rows' ORDER BY 1, 2",
    "postgresql": """
        SELECT 'column', table_name, column_name || ' ' || data_type || ' ' || is_nullable
        FROM information_schema.columns WHERE table_schema = 'public' AND table_name <> 'cache_rows'
        UNION ALL SELECT 'constraint', conrelid::regclass::text, pg_get_constraintdef(oid)
        FROM pg_constraint WHERE connamespace = 'public'::regnamespace
        UNION ALL SELECT 'index', tablename, indexdef FROM pg_indexes WHERE schemaname = 'public' AND tablename <> 'cache_rows'
        UNION ALL SELECT 'trigger', tgrelid::regclass::text, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal
        UNION ALL SELECT 'function', proname, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace
        ORDER BY 1, 2, 3""",
}


def look():
    """How many changes are recorded, the digest of the shape of all tables, and how many rows lie in some."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM django_migrations")
        recorded = cursor.fetchone()[0]
        cursor.execute(SCHEMA[connection.vendor])
        # SQLite keeps how a table was written; what differs by quoting alone is the same shape.
        rows = [[str(one).replace('"', "") for one in row] for row in cursor.fetchall()]
        counts = []
        for table in COUNTED:
            cursor.execute(f"SELECT count(*) FROM {table}")  # noqa: S608 -- names of this file
            counts.append(cursor.fetchone()[0])
    return {
        "recorded": recorded,
        "shape": hashlib.sha256(json.dumps(rows).encode()).hexdigest(),
        "rows": counts,
    }


def back(orders):
    """Fill a shop with orders, then take the newest changes away, as a database of before has not got them."""
    from django.core.management import call_command

    from shop.bulk.make import make_orders

    make_orders(
        orders=orders, seed=7, years=2, at=dt.datetime(2026, 11, 1, 18, tzinfo=dt.UTC), say=lambda _: None
    )
    for app in ("shop", "quotes", "intake"):
        call_command("migrate", app, LANDED[app], interactive=False, verbosity=0)
    return look()


def steps():
    """Bring it forward change by change; what it looks like after each."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    seen = [look()]
    plan = MigrationExecutor(connection)
    for migration, _ in plan.migration_plan(plan.loader.graph.leaf_nodes()):
        MigrationExecutor(connection).migrate([(migration.app_label, migration.name)])
        seen.append(look())
    return seen


def go():
    """Bring it forward, after saying so: from here on the parent may strike."""
    from django.core.management import call_command

    sys.stdout.write("now\n")
    sys.stdout.flush()
    call_command("migrate", interactive=False, verbosity=0)
    return True


def finish():
    """What a struck database looks like; then once more, and what is wrong after that."""
    from django.core.management import call_command

    from intake import history

    found = look()
    call_command("migrate", interactive=False, verbosity=0)
    return {"struck": found, "after": look(), "broken": history.verify()}


def start():
    """As the launcher does."""
    from shop.setup.database import bring_up_to_date

    said = []
    bring_up_to_date(dt.datetime.now(dt.UTC), say=said.append)
    return {"said": said, **look()}


def carry():
    """What lies there before, what after every change, once money, stock and history were proved."""
    from django.core.management import call_command

    before = look()
    call_command("migrate", interactive=False, verbosity=0)
    for proof in ("prove_books", "recount_books", "verify_history"):
        call_command(proof, stdout=sys.stderr)
    return {"before": before, "after": look()}


if __name__ == "__main__":
    django.setup()
    deed, *given = sys.argv[1:]
    done = {
        "back": back,
        "steps": steps,
        "go": go,
        "finish": finish,
        "start": start,
        "look": look,
        "carry": carry,
    }[deed](*map(int, given))
    sys.stdout.write(json.dumps(done) + "\n")
