"""How long each kind of personal data is kept where the owner says nothing else. Pure.

The days follow common practice for a shop of this size, no source; none is law. What the law asks (bills above all)
differs from place to place: the owner writes the days and names the reason.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """One line of the plan. `days` None keeps for good; `fixed`: the house does it by itself and nobody sets it."""

    name: str
    title: str
    days: int | None
    after: str
    does: str
    fixed: bool = False
    warn: str = ""


KINDS: tuple[Kind, ...] = (
    Kind("codes", "Unlock codes", 0, "the device left", "The sealed code is emptied.", fixed=True),
    Kind("drafts", "Requests that were never sent", 30, "the last visit", "They go, with their photos.", fixed=True),
    Kind("photos", "Photos", 365, "the device left", "Photos and their marks go, files and all.",
         warn="Keep photos at least as long as somebody may still complain about what they show."),
    Kind("words", "What customers wrote", 730, "the device left", "Symptoms, ideas, messages and lists of the box are emptied.",
         warn="Keep them as long as your warranty runs."),
    Kind("bench", "What the bench wrote", None, "the device left", "Notes, the words of findings, and reasons are emptied.",
         warn="The shop learns from its findings. Readings and faults from the lists stay in any case."),
    Kind("letters", "Letters", 365, "they were written", "Address, subject and text are emptied; that they went stays."),
    Kind("papers", "Papers with a name on them", 730, "the device left",
         "Shipping forms, labels, receipts, quotes and reports go; bills stay.", warn="Keep them as long as your warranty runs."),
    Kind("senders", "From where an answer came", 90, "the answer", "The mark of the network it came from and the browser's name go."),
    Kind("tries", "Tries at the door", 90, "the try", "They go.", fixed=True),
    Kind("sights", "Who saw what", 730, "somebody looked", "The lines go."),
    Kind("contact", "Names and addresses", None, "the last device left", "The person is erased, as by hand.",
         warn="Somebody who comes back must be asked for everything again."),
    Kind("money", "Bills and statements", None, "they were issued", "Name and address on them go; numbers and sums stay.",
         warn="The law says how long bills must be kept, and it differs from place to place. Ask somebody who knows yours."),
    Kind("backups", "Backups", 30, "they were made", "They go, the newest stay.", fixed=True),
)  # fmt: skip
BY_NAME: Mapping[str, Kind] = {kind.name: kind for kind in KINDS}
SETTABLE: tuple[Kind, ...] = tuple(kind for kind in KINDS if not kind.fixed)
LEAST, MOST = 7, 36_500


def days_of(plan: Mapping[str, object], name: str) -> int | None:
    """The days of a kind under a plan: its own, else the usual ones. None keeps for good."""
    kind = BY_NAME[name]
    if kind.fixed or name not in plan:
        return kind.days
    days = plan[name]
    return days if isinstance(days, int) and not isinstance(days, bool) else None
