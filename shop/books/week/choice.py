"""Which figures of the books stand on the weekly page, in which order. Pure."""

from dataclasses import dataclass
from typing import Literal

# How a figure is set beside other weeks: a count or a sum ('flow') by week, a rate as it is, and what is of now alone.
Kind = Literal["flow", "rate", "now"]


@dataclass(frozen=True)
class Row:
    """`key` of a figure of any page of the books."""

    key: str
    kind: Kind


@dataclass(frozen=True)
class Section:
    """`place`: url name of the page that says more. `table`: key of a table of which the first `most` rows stand here."""

    key: str
    name: str
    place: str
    place_words: str
    rows: tuple[Row, ...] = ()
    table: str = ""
    most: int = 5


def _rows(kind: Kind, *keys: str) -> tuple[Row, ...]:
    return tuple(Row(key, kind) for key in keys)


SECTIONS = (
    Section(
        "time", "Promises and time", "shop:books_time", "Time",
        (
            *_rows("flow", "week-came", "week-left"),
            *_rows("rate", "promise-first", "promise-last", "time-median", "time-eighty"),
        ),
    ),
    Section(
        "money", "Money", "shop:books_margin", "Margin",
        (*_rows("flow", "margin-billed", "margin-cash", "margin-full"), *_rows("rate", "margin-hour")),
    ),
    Section("lost", "What lost money", "shop:books_margin", "Margin", _rows("flow", "margin-lost"), "margin-lost-all"),
    Section(
        "quotes", "Quotes waiting", "shop:books_promises", "Promises and quotes",
        (
            *_rows("now", "week-waiting", "week-waiting-worth", "week-waiting-longest"),
            *_rows("rate", "quote-acceptance"),
        ),
    ),
    Section("old", "Old now, and why", "shop:books_time", "Time", table="time-old"),
    Section(
        "owed", "Money owed", "shop:books_owed", "Money owed",
        _rows("now", "owed-outstanding", "owed-overdue", "owed-disputed", "owed-deposits"),
    ),
    Section(
        "building", "The building", "shop:books_owed", "Money owed",
        _rows("now", "week-here", "owed-declared", "owed-work-ahead"),
    ),
)  # fmt: skip
