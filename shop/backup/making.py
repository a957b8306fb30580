"""Makes one backup: the database first, then the files, sealed into one file beside the older ones."""

import datetime as dt
import gzip
import io
import logging
import shutil
import tarfile
import tempfile
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import connection

from intake import drain, file_store
from shop.backup import age_keys, keys, media, postgres_copy, rolling, sealed, sqlite_copy
from shop.backup.faults import BackupFault, said_of
from shop.backup.manifest import Facts, Manifest, written
from shop.models import BackupSet

SQLITE_MEMBER, POSTGRES_MEMBER, LIST_MEMBER = "database.sqlite3.gz", "database.dump", "manifest.json"
WORK = "backup-work-"
_log = logging.getLogger("benchpost.backup")
_State = BackupSet.State


def name_at(moment: dt.datetime) -> str:
    """The name of the set made at a moment: its time in UTC, to the second."""
    return f"benchpost-{moment.astimezone(dt.UTC):%Y%m%d-%H%M%S}"


def file_of(name: str, folder: Path | None = None) -> Path:
    return (folder or Path(settings.BACKUP_FOLDER)) / f"{name}.age"


def make(row: BackupSet, *, folder: Path | None = None) -> BackupSet:
    """Fill the set of a row that stands as running; afterwards it stands as made or failed, with a sentence.

    Raises BackupFault with that sentence; the older sets stay then, and of this one nothing does."""
    target = file_of(row.name, folder)
    # Of a database before this one was brought back: it may be the only set of what was lost since.
    if any(target.parent.glob(target.name)):
        said = f"There is a file {target.name} already, and it stays. Try again in a minute."
        _end(row, state=_State.FAILED, said=said[:300])
        raise BackupFault(said)
    try:
        manifest, long, digest = _seal(target)
    except Exception as fault:
        target.unlink(missing_ok=True)
        said = str(fault) if isinstance(fault, BackupFault) else _unforeseen(fault)
        _end(row, state=_State.FAILED, said=said[:300])
        raise BackupFault(said) from fault
    _end(
        row,
        state=_State.WHOLE,
        bytes_long=long,
        sha256=digest,
        rows=manifest.facts.rows,
        files=len(manifest.media),
        # A set taken elsewhere is none of those that roll here.
        **({"removed_at": drain.now(), "said": f"Taken to {folder}."[:300]} if folder else {}),
    )
    rolling.clear_old(at=drain.now())
    return row


def _end(row: BackupSet, **values: object) -> None:
    for name, value in {"ended_at": drain.now(), **values}.items():
        setattr(row, name, value)
    row.save()


def _unforeseen(fault: Exception) -> str:
    _log.exception("the backup failed")
    if isinstance(fault, OSError):
        return said_of(fault, "the backup")
    return f"The backup failed for a reason nobody foresaw ({type(fault).__name__}); the log says more."


def _seal(target: Path) -> tuple[Manifest, int, str]:
    recipients = keys.sealing()
    made: list[Manifest] = []
    with work_folder() as work:
        before = set(file_store.names())
        facts, member = _database(work)

        def pack(tar: tarfile.TarFile) -> None:
            with member.open("rb") as file:
                media.add(tar, member.name, file, member.stat().st_size)
            # What was there before the database was read may be named in it: looked for as well, for what has gone since.
            names = before | set(file_store.names())
            packed = media.pack(tar, sorted(names))
            made.append(_manifest(facts, packed, recipients, gone=sorted(names - set(packed))))
            text = written(made[0])
            media.add(tar, LIST_MEMBER, io.BytesIO(text), len(text))

        long, digest = sealed.seal(target, age_keys.recipients(recipients), pack)
    return made[0], long, digest


def _database(work: Path) -> tuple[Facts, Path]:
    if connection.vendor == "postgresql":
        dump = work / POSTGRES_MEMBER
        return postgres_copy.copy(postgres_copy.address(connection.settings_dict), dump), dump
    copy, packed = work / "database.sqlite3", work / SQLITE_MEMBER
    facts = sqlite_copy.copy(Path(connection.settings_dict["NAME"]), copy)
    with copy.open("rb") as plain, gzip.open(packed, "wb", compresslevel=3) as out:
        shutil.copyfileobj(plain, out, media.PIECE)
    copy.unlink()
    return facts, packed


def _manifest(facts: Facts, packed: media.Listed, recipients: list[str], *, gone: list[str]) -> Manifest:
    return Manifest(
        made_at=drain.now().isoformat(),
        version=_version(),
        engine=connection.vendor,
        facts=facts,
        media=packed,
        recipients=tuple(recipients),
        gone=tuple(gone),
    )


def _version() -> str:
    told = tomllib.loads((Path(settings.ROOT) / "pyproject.toml").read_text(encoding="utf-8"))
    return str(told["project"]["version"])


@contextmanager
def work_folder() -> Iterator[Path]:
    """A folder beside the data, for its owner alone, gone afterwards whatever happens."""
    try:
        made = Path(tempfile.mkdtemp(prefix=WORK, dir=settings.DATA))
    except OSError as fault:
        raise BackupFault(said_of(fault, "the work on a backup")) from fault
    try:
        yield made
    except OSError as fault:
        raise BackupFault(said_of(fault, "the backup")) from fault
    finally:
        shutil.rmtree(made, ignore_errors=True)
