"""Brings the database and the static files to what this version expects, with a copy kept before a change."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from shop.books.fill import fill_missing
from shop.setup.half import SAID, is_half_restored
from shop.setup.one_at_a_time import one_at_a_time

KEPT_COPIES = 5
# Weights of the faces that no page uses.
UNUSED_FACES = [
    "*Thin*.ttf",
    "*Light*.ttf",
    "*Black*.ttf",
    "*ExtraBold*.ttf",
    "Barlow*Italic.ttf",
    "DM*Italic.ttf",
]


def missing_migrations() -> int:
    """How many changes of the database this version brings that are not made yet."""
    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


class Newer(Exception):
    """The database was changed by a newer version of this program; the text is the sentence to print."""


class Older(Exception):
    """The database lacks changes that this version needs; the text is the sentence to print."""


class HalfRestored(Newer):
    """A restore was cut off; it stops whatever a newer database stops. The text is the sentence to print."""


def refuse_half_restored() -> None:
    """Raises HalfRestored where a restore has not ended: the letters of then would go again."""
    if is_half_restored():
        raise HalfRestored(SAID)


def refuse_newer() -> None:
    """Raises Newer where changes are recorded that this version does not know: it could spoil what it cannot read."""
    loader = MigrationLoader(connection)
    unknown = sorted(
        f"{app} {name}"
        for app, name in loader.applied_migrations
        if app in loader.migrated_apps and (app, name) not in loader.disk_migrations
    )
    if unknown:
        raise Newer(
            "The database was changed by a newer version of Benchpost than this one "
            f"(it holds {', '.join(unknown[:3])}). Start the newer version, or bring back a backup from before."
        )


def refuse_any_other() -> None:
    """For processes beside the web server, which change nothing. Raises HalfRestored, Newer or Older."""
    refuse_half_restored()
    refuse_newer()
    if missing_migrations():
        raise Older(
            "The database has not been brought to this version yet. Start the web server first: it does that."
        )


def copy_before_change(at: datetime) -> Path | None:
    """A compact copy of the SQLite file in DATA/before-change, or None when there is nothing to copy."""
    if connection.vendor != "sqlite" or not connection.introspection.table_names():
        return None
    folder = settings.DATA / "before-change"
    folder.mkdir(mode=0o700, exist_ok=True)
    copy = folder / f"benchpost-{at:%Y%m%d-%H%M%S-%f}.sqlite3"
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(copy)])
    copy.chmod(0o600)
    for old in sorted(folder.glob("benchpost-*.sqlite3"))[:-KEPT_COPIES]:
        old.unlink()
    return copy


def bring_up_to_date(at: datetime, *, say: Callable[[str], object] = print) -> Path | None:
    """One process at a time; the others wait and then find nothing to do. Raises HalfRestored or Newer.

    Runs the missing migrations after a copy, then writes the lines of the books that are missing; the copy's path, or
    None when none was made."""
    with one_at_a_time(say):
        refuse_half_restored()
        refuse_newer()
        copy = copy_before_change(at) if missing_migrations() else None
        if missing_migrations():
            call_command("migrate", interactive=False, verbosity=0)
        # Each time: a fill that was cut off, or a database carried forward by hand, is made whole at the next start.
        fill_missing()
        call_command("createcachetable", verbosity=0)
    return copy


def static_files_are_stale() -> bool:
    """Whether a source is newer than the last collection, or nothing was collected yet."""
    manifest = Path(settings.STATIC_ROOT) / "staticfiles.json"
    if not manifest.exists():
        return True
    collected = manifest.stat().st_mtime
    return any(
        Path(storage.path(name)).stat().st_mtime > collected
        for finder in get_finders()
        for name, storage in finder.list([])
    )


def collect_static_files() -> None:
    """Collects and names the static files, only when something changed."""
    if static_files_are_stale():
        call_command(
            "collectstatic", interactive=False, verbosity=0, clear=True, ignore_patterns=UNUSED_FACES
        )
