"""The words of each choice: its name, how likely it is to work, what happens to the data, and what if it fails.

A chance is said in words with a sentence; a percent would claim a count that nobody has made.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

LABELS = {
    "mend": "Mend it",
    "data": "Save the data only",
    "clean": "Clean it, without a promise",
    "back": "Send it back as it is",
    "recycle": "Recycle it",
    "first": "Finish only the first job",
}
CHANCES = {"good": "Good", "even": "Even", "poor": "Poor"}
RECYCLE = (
    "We wipe what can be wiped, destroy the storage if it cannot be, and hand the rest to a recycler. "
    "Nothing comes back to you."
)
FIRST = "Your first agreement stands, at its price."
DEPOSIT = "If the part cannot be had, it comes back to you."
_KEPT = "We work to keep it and cannot promise it."
DATA_WORDS = {
    "mend": _KEPT,
    "data": "We copy what can be read to a medium that goes back to you. The device itself is not mended.",
    "clean": _KEPT,
    "back": "It stays on the device as it came.",
    "recycle": "It is wiped and cannot come back.",
    "first": _KEPT,
}
_CHANCE = {"mend": "good", "data": "even", "clean": "poor"}
_CHANCE_WORDS = {
    ("mend", "good"): "We know the fault and how to mend it.",
    ("mend", "even"): "We know the fault; more may show once it runs.",
    ("mend", "poor"): "It may not come back, and we only try with your yes.",
    ("data", "good"): "The storage answers.",
    ("data", "even"): "It depends on what still answers once it has power.",
    ("data", "poor"): "The storage is likely hurt itself.",
    ("clean", "good"): "Boards like this often start again after it.",
    ("clean", "even"): "Some boards start again after it, some do not.",
    ("clean", "poor"): "It helps now and then. Nothing is promised.",
}
_FAILS = {
    "mend": "If it cannot be mended you pay nothing for the try, only what is named here.",
    "data": "If no data can be read you pay nothing for the try, only what is named here.",
    "clean": "Cleaning is owed whether it helps or not; that is why it costs less.",
}


@dataclass(frozen=True)
class Words:
    """The words of one choice as they are shown."""

    label: str
    chance: str
    data_words: str
    fails_words: str


def words_of(choice: str, given: Mapping[str, Any], *, no_fix_words: str = "") -> Words:
    """The words of a choice: those of the draft, else the usual ones. `no_fix_words` are the letterhead's for a repair."""
    typed = str(given.get("chance") or "")
    level = typed if typed in CHANCES else _CHANCE[choice]
    said = given.get("chance_words") or _CHANCE_WORDS[choice, level]
    usual = no_fix_words if choice == "mend" and no_fix_words else _FAILS[choice]
    return Words(
        LABELS[choice],
        f"{CHANCES[level]}. {said}",
        given.get("data_words") or DATA_WORDS[choice],
        given.get("fails_words") or usual,
    )


def usual_chance(choice: str) -> str:
    """The chance that is meant where nobody chose one."""
    return _CHANCE[choice]
