"""Backups roll: a set goes after thirty days, but the newest three whole ones stay; what was cut off is cleared away.

Thirty days, because a backup holds people who have been erased since: as long as it is kept, so are they.
"""

import datetime as dt
import shutil
from contextlib import suppress
from pathlib import Path

from django.conf import settings
from django.db.models import Q

from shop.backup.state import GIVEN_UP
from shop.models import BackupSet, RestoreDrill

KEPT_FOR = dt.timedelta(days=30)
KEPT_ALWAYS = 3
CUT_OFF = "Cut off before its end."
_State = BackupSet.State


def clear_old(*, at: dt.datetime) -> int:
    """Remove what is too old, and say so in its row; returns how many sets went."""
    close_cut_off(at=at)
    there = BackupSet.objects.filter(state=_State.WHOLE, removed_at=None).order_by("-pk")
    newest = set(there.values_list("pk", flat=True)[:KEPT_ALWAYS])
    for copy in (Path(settings.DATA) / "before-change").glob("benchpost-*.sqlite3"):
        if _older(copy, at - KEPT_FOR):  # it holds who was erased since, as a set does
            copy.unlink(missing_ok=True)
    done = 0
    for row in there.filter(began_at__lt=at - KEPT_FOR).exclude(pk__in=newest):
        file = Path(settings.BACKUP_FOLDER) / f"{row.name}.age"
        try:
            # Of several machines another may have it in a folder of its own: only who removes it may say that it went.
            if settings.SEVERAL_MACHINES and not file.exists():
                continue
            file.unlink(missing_ok=True)
        except OSError:
            continue  # the disk is away just now; the next night looks again
        done += BackupSet.objects.filter(pk=row.pk).update(removed_at=at)
    _clear_unnamed(set(there.values_list("name", flat=True)), at=at)
    return done


def _clear_unnamed(named: set[str], *, at: dt.datetime) -> None:
    """Files that no kept row names, of work killed at its very end or of a database from before, hold the erased as well.

    The newest three files stay whatever the rows say: after an older database was brought back they may be the only ones.
    """
    files = sorted(Path(settings.BACKUP_FOLDER).glob("benchpost-*.age"), key=lambda file: file.name)
    for file in files[:-KEPT_ALWAYS]:
        made = _made_at(file.stem)
        if made is not None and made < at - KEPT_FOR and file.stem not in named:
            with suppress(OSError):  # as above
                file.unlink(missing_ok=True)


def _made_at(name: str) -> dt.datetime | None:
    """When a set was made, by its name; a copied file bears another time on the disk."""
    try:
        return dt.datetime.strptime(name, "benchpost-%Y%m%d-%H%M%S").replace(tzinfo=dt.UTC)
    except ValueError:
        return None


def close_cut_off(*, at: dt.datetime) -> None:
    """Rows and halves of work that ended without a word: a kill, a power cut."""
    long_ago = at - GIVEN_UP
    # Nothing begins in the time to come: such a row was begun by a clock that was ahead.
    over = Q(began_at__lt=long_ago) | Q(began_at__gt=at + GIVEN_UP)
    BackupSet.objects.filter(over, state=_State.RUNNING).update(
        state=_State.FAILED, ended_at=at, said=CUT_OFF
    )
    RestoreDrill.objects.filter(over, state=RestoreDrill.State.RUNNING).update(
        state=RestoreDrill.State.FAILED, ended_at=at, said=CUT_OFF
    )
    for half in Path(settings.BACKUP_FOLDER).glob(".benchpost-*.part"):
        if _older(half, long_ago):
            half.unlink(missing_ok=True)
    for work in Path(settings.DATA).glob("backup-work-*"):
        if _older(work, long_ago):
            shutil.rmtree(work, ignore_errors=True)


def _older(place: Path, moment: dt.datetime) -> bool:
    try:
        return place.stat().st_mtime < moment.timestamp()
    except OSError:
        return False
