"""Words made fit for paper: control characters out, direction marks out, lengths bounded."""

import dataclasses
import re
import unicodedata
from typing import Any, TypeVar

T = TypeVar("T")

LONGEST_TEXT = 4000
LONGEST_LIST = 200

# Marks that turn the reading direction of what follows could make a total read backwards.
_TURNS = re.compile("[\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]")
_TALL = re.compile(r"\n{3,}")
# A stack of accents on one letter can be drawn over the lines above and below.
_STACK = re.compile(
    "([\u0300-\u036f\u0483-\u0489\u1ab0-\u1aff\u20d0-\u20ff]{3})[\u0300-\u036f\u0483-\u0489\u1ab0-\u1aff\u20d0-\u20ff]+"
)


def fit(text: str, longest: int = LONGEST_TEXT) -> str:
    """The text without control characters and direction marks, cut with a note when too long."""
    kept = "".join(
        sign if sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cs", "Co", "Cn") else " "
        for sign in text[: longest * 2].replace("\r\n", "\n").replace("\t", " ")
    )
    kept = _STACK.sub(r"\1", _TALL.sub("\n\n", _TURNS.sub("", kept))).strip()
    return kept if len(kept) <= longest else kept[: longest - 40].rstrip() + " … (the rest is in the order)"


def fitted(value: T) -> T:
    """The same value with every text inside it fit for paper; dataclasses, tuples and lists are walked."""
    return _walk(value)  # type: ignore[no-any-return]


def _walk(value: Any) -> Any:
    if isinstance(value, str):
        return fit(value)
    if isinstance(value, tuple | list):
        return type(value)(_walk(item) for item in value[:LONGEST_LIST])
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return dataclasses.replace(
            value, **{field.name: _walk(getattr(value, field.name)) for field in dataclasses.fields(value)}
        )
    return value
