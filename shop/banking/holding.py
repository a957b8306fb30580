"""A statement between the look and the taking in: kept under its digest for a day, then gone."""

import re
import time
from pathlib import Path

from intake import paper_files
from quotes.refusals import Refused

FOLDER, SUFFIX = "bank", ".held"
HELD_SECONDS = 24 * 3600


def hold(data: bytes) -> str:
    """Keep the bytes; gives their digest. What was held for over a day is thrown away."""
    digest = paper_files.store(data, folder=FOLDER, suffix=SUFFIX)
    _throw_away_old(_path(digest))
    return digest


def held(digest: str) -> bytes:
    """The bytes of a digest. Raises Refused where they are gone."""
    try:
        return _path(digest).read_bytes()
    except (OSError, ValueError):
        raise Refused("The file is no longer held here. Please choose it again.", field="file") from None


def let_go(digest: str) -> None:
    """What is taken in stands in the rows; the file itself is not kept."""
    _path(digest).unlink(missing_ok=True)


def _path(digest: str) -> Path:
    if not re.fullmatch("[0-9a-f]{64}", digest):
        raise ValueError("no digest")
    return paper_files.stored_path(digest, folder=FOLDER, suffix=SUFFIX)


def _throw_away_old(newest: Path) -> None:
    oldest = time.time() - HELD_SECONDS
    for path in newest.parent.parent.rglob(f"*{SUFFIX}"):
        if path != newest and path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
