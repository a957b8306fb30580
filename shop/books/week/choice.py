"""Which figures of the books stand on the weekly page, in which order. Pure."""

from dataclasses import dataclass
from typing import Literal

# How a figure is set beside other weeks: a count or a sum ('flow') by week, a rate as it is, and what is of now alone.
Kind = Literal["flow", "rate", "now"]


@dataclass(frozen=True)
class Row:
    """`key` of a figure of any page of the books; `name`, where it is called something else on this one."""

    key: str
    kind: Kind
    name: str = ""


@dataclass(frozen=True)
class Section:
    """`place`: url name of the page that says more. `table`: key of a table of which the first
    `most` rows stand here, in these `columns`."""

    key: str
    name: str
    place: str
    place_words: str
    rows: tuple[Row, ...] = ()
    table: str = ""
    columns: tuple[str, ...] = ()
    most: int = 5


def _rows(kind: Kind, *keys: str) -> tuple[Row, ...]:
    return tuple(Row(key, kind) for key in keys)


SECTIONS = (
    Section(
        "time", "Promises and time", "shop:books_time", "Time",
        (
            Row("time-arrivals", "flow", "Devices that came"),
            Row("time-departures", "flow", "Devices that left"),
            *_rows("rate", "promise-first", "promise-last", "time-median", "time-own-median"),
        ),
    ),
    Section(
        "money", "Money", "shop:books_margin", "Margin",
        (*_rows("flow", "margin-billed", "margin-cash", "margin-full"), *_rows("rate", "margin-hour")),
    ),
    Section(
        "lost", "What lost money", "shop:books_margin", "Margin", _rows("flow", "margin-lost"), "margin-lost-all",
        ("order", "why", "amount"),
    ),
    Section(
        "quotes", "Quotes waiting", "shop:books_promises", "Promises and quotes",
        (
            *_rows("now", "quote-waiting-now", "quote-waiting-worth", "quote-waiting-longest"),
            *_rows("rate", "quote-accepted"),
        ),
    ),
    Section(
        "old", "Old now, and why", "shop:books_time", "Time", _rows("now", "time-old-here"), "time-old",
        ("order", "why", "whose", "days"),
    ),
    Section(
        "owed", "Money owed", "shop:books_owed", "Money owed",
        _rows("now", "owed-outstanding", "owed-overdue", "owed-disputed", "owed-deposits"),
    ),
    Section(
        "building", "The building", "shop:books_owed", "Money owed",
        (
            Row("owed-declared", "now", "Declared value of the devices here"),
            *_rows("now", "owed-undeclared", "owed-unclaimed", "owed-work-ahead"),
        ),
    ),
)  # fmt: skip
