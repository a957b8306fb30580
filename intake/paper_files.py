"""From a paper's row to its file: made at first need, written once under its digest, never again.

Each floor hands in the functions that draw its papers (`register` in its app's `ready`), so that the
ground floor need not know them.
"""

import datetime as dt
from collections.abc import Callable

from intake import file_store
from intake.models import Paper
from intake.papers.html import PaperError

Maker = Callable[[Paper], bytes]
_makers: dict[str, Maker] = {}
_suffixes: dict[str, str] = {}

FOLDER = "papers"
CONTENT_TYPES = {".pdf": "application/pdf", ".xml": "application/xml"}


class PaperMissing(Exception):
    """The file cannot be had; the message says why in one sentence."""


def register(name: str, maker: Maker, *, suffix: str = ".pdf") -> None:
    """Let `maker` draw the papers of that name. `suffix` says what its files are: one of CONTENT_TYPES."""
    if suffix not in CONTENT_TYPES:
        raise ValueError(f"A paper's file ends in one of {', '.join(CONTENT_TYPES)}.")
    _makers[name] = maker
    _suffixes[name] = suffix


def makers() -> frozenset[str]:
    return frozenset(_makers)


def suffix_of(paper: Paper) -> str:
    return _suffixes.get(paper.maker, ".pdf")


def content_type(paper: Paper) -> str:
    """How a paper's file is named to a browser or a mail reader."""
    return CONTENT_TYPES[suffix_of(paper)]


def content(paper: Paper, *, at: dt.datetime) -> bytes:
    """The paper's bytes, drawn now if they were never drawn.

    Two who draw at once write two equal files; the first row update wins and both hand out that file.
    Raises PaperMissing.
    """
    _must_be_there(paper)
    if not paper.sha256:
        drawn = _draw(paper)
        digest = file_store.store(drawn, folder=FOLDER, suffix=suffix_of(paper))
        undrawn = Paper.objects.filter(pk=paper.pk, sha256="", gone_at=None)
        undrawn.update(sha256=digest, made_at=at, bytes_long=len(drawn))
        paper.refresh_from_db(fields=["sha256", "made_at", "bytes_long", "gone_at"])
        if paper.gone_at is not None and not Paper.objects.filter(sha256=digest).exists():
            # Removed while it was drawn: nobody else would ever clear this file away.
            file_store.delete(digest, folder=FOLDER, suffix=suffix_of(paper))
        _must_be_there(paper)
    try:
        return file_store.read(paper.sha256, folder=FOLDER, suffix=suffix_of(paper))
    except OSError as fault:
        raise PaperMissing(f"The file of “{paper.title}” cannot be read.") from fault


def _must_be_there(paper: Paper) -> None:
    if paper.gone_at is not None:
        day = f"{paper.gone_at:%Y-%m-%d}"
        raise PaperMissing(f"“{paper.title}” was removed on {day}, with the personal words that stood on it.")


def _draw(paper: Paper) -> bytes:
    try:
        maker = _makers[paper.maker]
    except KeyError:
        raise PaperMissing(f"Nobody here can draw a {paper.maker}.") from None
    try:
        return maker(paper)
    except PaperError as fault:
        raise PaperMissing(str(fault)) from fault
