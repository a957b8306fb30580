"""How the board stood while it was measured, in three classes: readings compare within one. Pure.

unpowered (no supply, battery out), supply (fed, not started), booted (running). Anything else is a class by its own words.
"""

import re

UNPOWERED, SUPPLY, BOOTED = "unpowered", "supply", "booted"

# These two send their own current through the board: they are only taken without another.
_ALWAYS_UNPOWERED = ("ohms", "diode", "continuity")

_OFF = re.compile(r"\b(unpowered|off|no power|battery out|cell out|dead)\b")
_ON = re.compile(r"\b(booted|running|started|up)\b")
_FED = re.compile(r"\b(supply|fed|on supply|on)\b|\d\s*v\b")


def class_of(state: str, mode: str) -> str:
    """The class of a state as it was typed; an empty one is unpowered where the mode leaves no choice, else ''."""
    said = " ".join(state.casefold().split())
    if not said:
        return UNPOWERED if mode in _ALWAYS_UNPOWERED else ""
    for name, words in ((BOOTED, _ON), (UNPOWERED, _OFF), (SUPPLY, _FED)):
        if words.search(said):
            return name
    return said
