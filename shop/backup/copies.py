"""Runs something inside a copy: a process of its own whose surroundings name the copy and nothing else of this house."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from django.conf import settings

from shop.backup.faults import BackupFault

PATIENCE_SECONDS = 3_000
# Of the surroundings of this process only what a program needs to run at all; above all not where letters go.
KEPT = ("PATH", "HOME", "LANG", "LC_ALL", "TMPDIR", "LD_LIBRARY_PATH", "PYTHONPATH", "FONTCONFIG_PATH")
EMPTY = ("MEDIA_ROOT", "MEDIA_STORE", "MEDIA_STORE_KEY", "MEDIA_STORE_SECRET", "REDIS_URL", "BACKUP_FOLDER",
         "BACKUP_RECIPIENTS", "BACKUP_IDENTITY", "METRICS_KEY", "CODE_KEYS", "SECRET_KEY_FALLBACKS", "BEHIND_PROXY")  # fmt: skip


def inside(folder: Path, database: str, deed: str, given: dict[str, Any]) -> dict[str, Any]:
    """Do a deed of `shop.backup.within` in the copy at `folder` and hand back what it says. Raises BackupFault."""
    surroundings = {
        **{name: os.environ[name] for name in KEPT if name in os.environ},
        # Empty and not absent, or a .env file of the house would be asked.
        **dict.fromkeys(EMPTY, ""),
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "BENCHPOST_DATA": str(folder),
        "DATABASE_URL": database,
        "EMAIL_URL": "memory://",
        "SITE_ADDRESS": settings.SITE_ADDRESS,
        "SECRET_KEY": settings.SECRET_KEY,
        "SECRET_KEY_FALLBACKS": ",".join(settings.SECRET_KEY_FALLBACKS),
        "CODE_KEYS": _code_keys(),
        "DEBUG": "off",
        "BENCHPOST_DEMO": "on" if settings.DEMO else "off",
        "PYTHONWARNINGS": "ignore",
    }
    try:
        done = subprocess.run(  # noqa: S603 -- this program itself
            [sys.executable, "-m", "shop.backup.within", deed],
            cwd=settings.ROOT,
            env=surroundings,
            input=json.dumps(given),
            capture_output=True,
            text=True,
            timeout=PATIENCE_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired as fault:
        raise BackupFault("The copy took too long and was given up.") from fault
    lines = done.stdout.strip().splitlines()
    if done.returncode or not lines:
        last = (done.stderr.strip().splitlines() or ["no reason given"])[-1]
        raise BackupFault(f"The copy could not be used: {last[:300]}")
    return dict(json.loads(lines[-1]))


def _code_keys() -> str:
    """By the surroundings of the process, so that no key is ever written into a copy."""
    place = Path(settings.DATA) / "code.keys"
    if settings.CODE_KEYS:
        return str(settings.CODE_KEYS)
    return place.read_text(encoding="utf-8").strip() if place.exists() else ""
