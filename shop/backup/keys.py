"""Which keys seal the shop's backups, and which open them: BACKUP_RECIPIENTS and BACKUP_IDENTITY, else DATA/backup.key."""

import os
import tempfile
from pathlib import Path
from typing import Any

from django.conf import settings

from shop.backup import age_keys
from shop.backup.faults import BackupFault
from shop.setup import setting_rules


def sealing() -> list[str]:
    """The public keys every backup is sealed to. One machine alone makes its own at first need. Raises BackupFault."""
    if settings.BACKUP_RECIPIENTS:
        return list(settings.BACKUP_RECIPIENTS)
    if settings.SEVERAL_MACHINES:
        raise BackupFault(f"BACKUP_RECIPIENTS {setting_rules.missing_recipients([])}.")
    return [age_keys.public_of(one) for one in _read(_own(make=True))]


def opening(file: Path | None = None) -> list[Any]:
    """What opens a backup: the key file named, else BACKUP_IDENTITY, else the shop's own. Raises BackupFault."""
    place = file or (Path(settings.BACKUP_IDENTITY) if settings.BACKUP_IDENTITY else _own(make=False))
    if not place.exists():
        raise BackupFault(
            f"The key that opens backups is not here: there is no file {place}. Name one with --identity or BACKUP_IDENTITY."
        )
    return _read(place)


def can_open() -> bool:
    """Whether this machine holds a key of its own backups."""
    try:
        held, needed = {age_keys.public_of(one) for one in opening()}, set(sealing())
    except BackupFault:
        own = not settings.BACKUP_RECIPIENTS and not settings.BACKUP_IDENTITY
        return own and not settings.SEVERAL_MACHINES
    return bool(held & needed)


def own_place() -> Path:
    return Path(settings.DATA) / "backup.key"


def _read(place: Path) -> list[Any]:
    try:
        return age_keys.identities(place.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as fault:
        raise BackupFault(f"The key file {place} cannot be read.") from fault
    except age_keys.BadKey as fault:
        raise BackupFault(f"The key file {place} cannot be used. {fault}") from fault


def _own(*, make: bool) -> Path:
    """Of two who make the first key at once one wins, and both use that; nobody reads half a file."""
    place = own_place()
    if place.exists() or not make:
        return place
    handle, made = tempfile.mkstemp(dir=place.parent, prefix=".backup-key-")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as paper:
            paper.write(age_keys.fresh_file())
            paper.flush()
            os.fsync(paper.fileno())
        os.link(made, place)
    except FileExistsError:
        pass
    except OSError as fault:
        raise BackupFault(f"The key file {place} cannot be made ({fault.strerror}).") from fault
    finally:
        Path(made).unlink(missing_ok=True)
    return place
