"""Lists that were sent in, kept under their digest so that what is taken in is what was looked at.

A file that was only looked at goes after a week; what was taken in, and the way back from it, stays.
"""

import re
import time
from pathlib import Path

from django.conf import settings

from intake.models import HistoryEntry
from intake.paper_files import store, stored_path
from quotes.price_lists.files import FileError, suffix_of
from quotes.refusals import Refused

FOLDER = "price_lists"
TAKEN_IN = "price list taken in"
GONE = "The file is not here any more. Choose it once more."
WEEK_SECONDS = 7 * 24 * 3600


def keep_file(content: bytes) -> str:
    """Keep an uploaded file under its digest, and give the digest. Raises Refused, field "file"."""
    try:
        suffix = suffix_of(content)
    except FileError as fault:
        raise Refused(str(fault), field="file") from fault
    _drop_old()
    digest = store(content, folder=FOLDER, suffix=suffix)
    stored_path(digest, folder=FOLDER, suffix=suffix).touch()
    return digest


def kept_file(digest: str) -> bytes:
    """The bytes under a digest. Raises Refused, field "file", where there are none."""
    if not re.fullmatch(r"[0-9a-f]{64}", digest):
        raise Refused(GONE, field="file")
    for suffix in (".csv", ".xlsx"):
        path = stored_path(digest, folder=FOLDER, suffix=suffix)
        try:
            return path.read_bytes()
        except FileNotFoundError:
            continue
    raise Refused(GONE, field="file")


def _drop_old() -> None:
    old = time.time() - WEEK_SECONDS
    folder = Path(settings.MEDIA_ROOT) / FOLDER
    stale = [path for path in folder.glob("*/*.*") if path.stat().st_mtime < old]
    if not stale:
        return
    told = HistoryEntry.objects.filter(what=TAKEN_IN).values_list("facts__file", "facts__before")
    needed = {digest for pair in told for digest in pair}
    for path in stale:
        if path.stem not in needed:
            path.unlink(missing_ok=True)
