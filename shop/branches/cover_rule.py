"""Whether a comeback is on the shop, as a rule on plain values. Pure.

The same fault, the shop's own work and a part of a bad lot are the shop's to put right while the warranty runs: trade
notes of the shop, common practice, no source. Rights by law go further and stay as they are.
"""

import datetime as dt
from dataclasses import dataclass

from intake import wording

OURS = frozenset({"same", "work", "lot"})


@dataclass(frozen=True)
class Cover:
    """`covered` by the rule, and the sentence that says why."""

    covered: bool
    why: str


def cover_of(
    cause: str, *, came: dt.date, warranty_ends: dt.date | None, locale: str = wording.PLAIN
) -> Cover:
    """`came` is the day the comeback was begun, `warranty_ends` the last day of the longest warranty before it."""
    if warranty_ends is None:
        return Cover(False, "The first repair left no warranty.")
    ends = wording.day_year(warranty_ends, locale)
    if came > warranty_ends:
        return Cover(False, f"The warranty was over on {ends}.")
    if cause not in OURS:
        return Cover(False, f"The warranty runs until {ends}, but it does not cover this.")
    return Cover(True, f"The warranty runs until {ends} and covers this.")
