"""The head of the history, to be kept where nobody who can change the database can change it: in a letter, on paper.

A chain by itself does not show that its end was cut off or that all of it was written anew. Who holds an old head can tell.
"""

import re
from dataclasses import dataclass

from intake import history
from intake.models import HistoryEntry
from intake.refusals import Refused

_SPELLING = re.compile(r"(\d{1,18}):([0-9a-f]{64})")


@dataclass(frozen=True)
class Head:
    """The number of the newest entry (so many there are, the first is 1) and its digest, 64 hexadecimal digits."""

    seq: int
    digest: str

    def __str__(self) -> str:
        return f"{self.seq}:{self.digest}"


def newest() -> Head:
    """The head as the entries themselves have it; number nought while there are none."""
    last = HistoryEntry.objects.order_by("-seq").values_list("seq", "digest").first()
    return Head(*last) if last else Head(0, history.GENESIS)


def read(text: str) -> Head:
    """A head as a letter says it, '1234:9f8e...'; spaces and line breaks in it do not count. Raises Refused."""
    found = _SPELLING.fullmatch("".join(text.split()).lower())
    if found is None:
        raise Refused(
            "A head is a number, a colon and 64 digits from 0 to f, as the letter of the day says it."
        )
    return Head(int(found[1]), found[2])


def compare(known: Head) -> str | None:
    """None where the history still holds what the head was the end of, else one sentence."""
    if known.seq == 0:
        return None if known.digest == history.GENESIS else "That head is of no history."
    digest = HistoryEntry.objects.filter(seq=known.seq).values_list("digest", flat=True).first()
    if digest is None:
        return (
            f"The history ends before entry {known.seq}, which that head tells of: its end has been cut off."
        )
    if digest != known.digest:
        return f"Entry {known.seq} is not the one that head tells of: the history has been written anew."
    return None
