"""What a broken disk or a stolen machine would take with it: whether the backups and their key are kept apart at all."""

from pathlib import Path

from django.conf import settings
from django.db import connection

from intake.models import HistoryEntry

KEY_SHOWN = "backup key shown"
NEVER_SHOWN = "The key of the backups was never shown: print it and keep it apart."
SAME_DISK = "The backups lie on the same disk as the shop."


def worries() -> list[str]:
    """Sentences, none when all is kept apart; a demonstration, which nobody need keep, has none. One query at most."""
    if settings.DEMO:
        return []
    said = [] if settings.BACKUP_RECIPIENTS or _was_shown() else [NEVER_SHOWN]
    return [*said, SAME_DISK] if _on_the_same_disk() else said


def _was_shown() -> bool:
    """The index by order finds the few entries that are of no order."""
    return HistoryEntry.objects.filter(order__isnull=True, what=KEY_SHOWN).exists()


def _on_the_same_disk() -> bool:
    """Of what this machine keeps itself: a database or a bucket elsewhere is none of its disks."""
    kept = [] if settings.SEVERAL_MACHINES else [Path(settings.MEDIA_ROOT)]
    if connection.vendor == "sqlite":
        kept.append(Path(connection.settings_dict["NAME"]).parent)
    try:
        disk = Path(settings.BACKUP_FOLDER).stat().st_dev
        return any(place.stat().st_dev == disk for place in kept)
    except OSError:
        return False
