"""A statement between the look and the taking in: kept under its digest for a day, then gone."""

import datetime as dt

from intake import file_store
from quotes.refusals import Refused

FOLDER, SUFFIX = "bank", ".held"
HELD = dt.timedelta(days=1)


def hold(data: bytes) -> str:
    """Keep the bytes; gives their digest. What was held for over a day is thrown away."""
    digest = file_store.store(data, folder=FOLDER, suffix=SUFFIX, anew=True)
    drop_old(at=dt.datetime.now(dt.UTC))
    return digest


def drop_old(*, at: dt.datetime) -> int:
    """Throw away what was held for over a day, with the names of everybody who paid; returns how many files went."""
    old = file_store.older_than(at - HELD, folder=FOLDER)
    for name in old:
        file_store.delete_named(name)
    return len(old)


def held(digest: str) -> bytes:
    """The bytes of a digest. Raises Refused where they are gone."""
    try:
        return file_store.read(digest, folder=FOLDER, suffix=SUFFIX)
    except (OSError, ValueError):
        raise Refused("The file is no longer held here. Please choose it again.", field="file") from None


def let_go(digest: str) -> None:
    """What is taken in stands in the rows; the file itself is not kept."""
    file_store.delete(digest, folder=FOLDER, suffix=SUFFIX)
