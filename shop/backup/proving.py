"""The proof of restore: a backup is put back into a place of its own, compared, checked, opened, and thrown away."""

import datetime as dt
import logging
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from django.db import connection

from intake import drain
from intake.wording import count
from shop.backup import copies, keys, making, postgres_copy, restoring
from shop.backup.faults import BackupFault
from shop.backup.restoring import Place
from shop.keeping import tombstones
from shop.models import BackupSet, RestoreDrill

PROOF_DATABASE = "benchpost_proof_"
SHOWN = 20
_log = logging.getLogger("benchpost.backup")
_State = RestoreDrill.State


def newest() -> BackupSet | None:
    """The newest whole set whose file should lie in the folder of the backups."""
    return BackupSet.objects.filter(state=BackupSet.State.WHOLE, removed_at=None).order_by("-pk").first()


def prove(backup: BackupSet | None, *, at: dt.datetime, drill: RestoreDrill | None = None) -> RestoreDrill:
    """Prove one set; the row that comes back stands as proved or failed, with a sentence a check. Raises nothing of its own.

    `drill` is the row of a proof that was asked for; without it one is made."""
    drill = drill or RestoreDrill.objects.create(backup=backup, began_at=at)
    try:
        if backup is None:
            raise BackupFault("There is no backup to prove.")
        faults, said = _tried(backup, at, drill)
    except BackupFault as fault:
        faults, said = [str(fault)], []
    except Exception as fault:
        _log.exception("the proof of restore failed")
        faults, said = (
            [f"The proof broke off for a reason nobody foresaw ({type(fault).__name__}); the log says more."],
            [],
        )
    drill.state = _State.FAILED if faults else _State.PROVED
    more = [f"And {len(faults) - SHOWN} more."] if len(faults) > SHOWN else []
    drill.said = "\n".join([*faults[:SHOWN], *more, *said])
    drill.ended_at = drain.now()
    drill.save()
    return drill


def _tried(backup: BackupSet, at: dt.datetime, drill: RestoreDrill) -> tuple[list[str], list[str]]:
    """Sentences of what is wrong, and of what is well."""
    file = making.file_of(backup.name)
    if not file.is_file():
        raise BackupFault(f"The file {file} is not there.")
    with making.work_folder() as work, _place(work / "copy") as place:
        restored = restoring.restore(file, place, keys.opening())
        drill.rows, drill.files = restored.manifest.facts.rows, len(restored.manifest.media)
        restoring.settle(restored, to_work=False, erased=tombstones.place(), at=at)
        gone = list(restored.manifest.gone)
        told = copies.inside(place.folder, place.database, "prove", {"at": at.isoformat(), "gone": gone})[
            "said"
        ]
    equal = (
        f"Equal row for row: {count(drill.rows, 'row')} in {count(len(restored.manifest.facts.tables), 'table')}; "
        f"file for file: {count(drill.files, 'file')}."
    )
    faults = [*restored.differences, *(sentence for held, sentence in told if not held)]
    well = [sentence for held, sentence in told if held]
    return faults, well if restored.differences else [equal, *well]


@contextmanager
def _place(folder: Path) -> Iterator[Place]:
    """A folder, and on PostgreSQL a database made beside the shop's and dropped again."""
    if connection.vendor != "postgresql":
        yield Place(folder)
        return
    where = postgres_copy.address(connection.settings_dict)
    name = f"{PROOF_DATABASE}{secrets.token_hex(6)}"
    made = postgres_copy.make_beside(where, name)
    try:
        yield Place(folder, _url(made))
    finally:
        postgres_copy.drop_beside(where, name)


def _url(where: dict[str, str]) -> str:
    """The address as DATABASE_URL has it; every part may hold any sign."""
    part = {name: quote(value, safe="") for name, value in where.items()}
    more = "&".join(
        f"{name}={value}"
        for name, value in part.items()
        if name not in ("dbname", "user", "password", "host", "port")
    )
    port = f":{part['port']}" if "port" in part else ""
    door = f"{part.get('user', '')}:{part.get('password', '')}@{part.get('host', '')}{port}"
    return f"postgres://{door}/{part['dbname']}{'?' + more if more else ''}"
