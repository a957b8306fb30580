"""What `manage.py check`, and each start, asks of this machine: folders that can be written, keys that are kept, a clock.

A wrong folder is an error with the command that mends it; a folder others may read is a warning.
"""

import stat
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core import checks
from django.utils import timezone

from shop.setup import setting_rules

# No shop can have run this version before it was made.
MADE = datetime(2026, 1, 1, tzinfo=UTC)


def fault_of(folder: Path) -> str:
    """Why nothing can be written into `folder`, as the system says it, or "". A folder that is missing is made."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder) as paper:
            paper.write(b"x")
    except OSError as fault:
        return str(fault.strerror)
    return ""


def _folders() -> dict[str, Path]:
    """Where the shop writes, by the words that stand for it."""
    found = {
        "The data": Path(settings.DATA),
        "The photos and papers": Path(settings.MEDIA_ROOT),
        "The static files": Path(settings.STATIC_ROOT),
        "The copies from before a change": Path(settings.DATA) / "before-change",
        "The backups": Path(settings.BACKUP_FOLDER),
    }
    if settings.EMAIL_FILE_PATH:
        found["The letters"] = Path(settings.EMAIL_FILE_PATH)
    database = settings.DATABASES["default"]
    if "sqlite" in database["ENGINE"]:
        found["The database"] = Path(database["NAME"]).parent
    return found


@checks.register("folders")
def look_at_folders(**_: Any) -> list[checks.CheckMessage]:
    """shop.E001: a folder that cannot be written; shop.W001: one that others of this machine can read."""
    said: list[checks.CheckMessage] = []
    for words, place in _folders().items():
        fault = fault_of(place)
        if fault:
            hint = f"Give it to the user the shop runs as, and let that user write: chown -R USER {place} && chmod -R u+rwX {place}"
            said.append(
                checks.Error(f"{words} cannot be written in {place} ({fault}).", hint=hint, id="shop.E001")
            )
    data = Path(settings.DATA)
    if stat.S_IMODE(data.stat().st_mode) & stat.S_IROTH:
        said.append(
            checks.Warning(
                f"{data} can be read by everybody on this machine.", hint=f"chmod 700 {data}", id="shop.W001"
            )
        )
    return said


@checks.register("folders")
def look_at_keys(**_: Any) -> list[checks.CheckMessage]:
    """shop.E002: a key file that others of this machine can read or change."""
    keys = [place for place in sorted(Path(settings.DATA).glob("*.key*")) if place.is_file()]
    faults = [(place, setting_rules.open_key(place)) for place in keys]
    return [checks.Error(f"{place} {fault}", id="shop.E002") for place, fault in faults if fault]


@checks.register("folders")
def look_at_clock(**_: Any) -> list[checks.CheckMessage]:
    """shop.E003: a clock so slow that dates of orders, links and invoices would be wrong."""
    now = timezone.now()
    if now >= MADE:
        return []
    said = f"The clock of this machine says {now:%Y-%m-%d}, which is before this version was made."
    return [
        checks.Error(said, hint="Set it, best by a time service: timedatectl set-ntp true", id="shop.E003")
    ]
