"""Lists that were sent in, kept under their digest so that what is taken in is what was looked at.

A file that was only looked at goes after a week; what was taken in, and the way back from it, stays.
"""

import datetime as dt
import re

from intake import file_store
from intake.models import HistoryEntry
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
    return file_store.store(content, folder=FOLDER, suffix=suffix, anew=True)


def kept_file(digest: str) -> bytes:
    """The bytes under a digest. Raises Refused, field "file", where there are none."""
    if not re.fullmatch(r"[0-9a-f]{64}", digest):
        raise Refused(GONE, field="file")
    for suffix in (".csv", ".xlsx"):
        try:
            return file_store.read(digest, folder=FOLDER, suffix=suffix)
        except FileNotFoundError:
            continue
    raise Refused(GONE, field="file")


def _drop_old() -> None:
    week_ago = dt.datetime.now(dt.UTC) - dt.timedelta(seconds=WEEK_SECONDS)
    stale = file_store.older_than(week_ago, folder=FOLDER)
    if not stale:
        return
    told = HistoryEntry.objects.filter(what=TAKEN_IN).values_list("facts__file", "facts__before")
    needed = {digest for pair in told for digest in pair}
    for name in stale:
        if file_store.digest_in(name) not in needed:
            file_store.delete_named(name)
