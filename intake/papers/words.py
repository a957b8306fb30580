"""Words made fit for paper: control characters out, direction marks out, lengths bounded."""

import dataclasses
import re
import unicodedata
from typing import Any, TypeVar

T = TypeVar("T")

# How long a text may be, by the name of its field: what a customer or a technician tells in full, what is a
# sentence or two, what stands in a foot or a heading, and all the rest (names, devices, captions).
TOLD = frozenset({"symptom", "finding", "condition", "says"})
SAID = frozenset(
    {"idea", "idea_answer", "happened", "why", "text", "steps", "next_step", "if_it_fails", "outcome"}
)
BRIEF = frozenset({"terms_version", "tax_name", "phone"})
LONGEST_TOLD = 4000
LONGEST_SAID = 1500
LONGEST_NAME = 300
LONGEST_BRIEF = 60
LONGEST_LIST = 100

# Marks that turn the reading direction of what follows could make a total read backwards.
_TURNS = re.compile("[\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]")
_TALL = re.compile(r"\n{3,}")
_ACCENTS = "\u0300-\u036f\u0483-\u0489\u1ab0-\u1aff\u20d0-\u20ff"
# A stack of accents on one letter can be drawn over the lines above and below.
_STACK = re.compile(f"([{_ACCENTS}]{{3}})[{_ACCENTS}]+")
# A word longer than any serial or digest may be broken, or it would push a table off the page.
_ENDLESS = re.compile(r"\S{65,}")
_PLACE_TO_BREAK = "\u200b"


def fit(text: str, longest: int = LONGEST_TOLD) -> str:
    """The text without control characters and direction marks, cut with a note when too long."""
    kept = "".join(
        sign if sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cs", "Co", "Cn") else " "
        for sign in text[: longest * 2].replace("\r\n", "\n").replace("\t", " ")
    )
    kept = _STACK.sub(r"\1", _TALL.sub("\n\n", _TURNS.sub("", kept))).strip()
    return kept if len(kept) <= longest else kept[: longest - 40].rstrip() + " … (the rest is in the order)"


def fitted(value: T) -> T:
    """The same value with every text inside it fit for paper; dataclasses, tuples and lists are walked."""
    return _walk(value, "")  # type: ignore[no-any-return]  # the walk keeps the type it was given


def _walk(value: Any, name: str) -> Any:
    if isinstance(value, str):
        return _ENDLESS.sub(_breakable, fit(value, _longest(name)))
    if isinstance(value, tuple | list):
        return type(value)(_walk(item, name) for item in value[:LONGEST_LIST])
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return dataclasses.replace(
            value,
            **{
                field.name: _walk(getattr(value, field.name), field.name)
                for field in dataclasses.fields(value)
            },
        )
    return value


def _longest(name: str) -> int:
    if name in TOLD:
        return LONGEST_TOLD
    if name in BRIEF:
        return LONGEST_BRIEF
    return LONGEST_SAID if name in SAID or name.endswith("_words") else LONGEST_NAME


def _breakable(word: re.Match[str]) -> str:
    letters = word.group()
    return _PLACE_TO_BREAK.join(letters[start : start + 20] for start in range(0, len(letters), 20))
