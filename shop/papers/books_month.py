"""The monthly report of the books: every figure with its definition, charts, what lost money, short tables."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed


@dataclass(frozen=True)
class MonthTable:
    """`rows` and `sums` are cells of (words, to the right); `more` rows were left out."""

    name: str
    means_words: str
    heads: tuple[tuple[str, bool], ...]
    rows: tuple[tuple[tuple[str, bool], ...], ...]
    sums: tuple[tuple[str, bool], ...] = ()
    more: int = 0


@dataclass(frozen=True)
class MonthFigure:
    """One figure in words; `before` says which way it went, empty where nothing was compared."""

    name: str
    value: str
    before: str
    means_words: str
    rests: str
    interval: str = ""
    open_words: str = ""
    pale: bool = False


@dataclass(frozen=True)
class MonthPart:
    """The figures of one page of the books. `charts` are (SVG as UTF-8, what it says, its title)."""

    name: str
    figures: tuple[MonthFigure, ...]
    tables: tuple[MonthTable, ...] = ()
    charts: tuple[tuple[bytes, str, str], ...] = ()


@dataclass(frozen=True)
class BooksMonth:
    """`words` is the month, `before` the one it is compared with, `as_of` a moment in words; `said_words` is one sentence."""

    head: Head
    words: str
    before: str
    as_of: str
    said_words: str
    parts: tuple[MonthPart, ...] = field(default=())
    foreign: int = 0
    running: bool = False


TEMPLATE = "papers/books_month.html"


def books_month_html(report: BooksMonth) -> str:
    return filled(TEMPLATE, report)


def books_month_pdf(report: BooksMonth, *, press: Press = pdf_in_child) -> bytes:
    """The report as PDF. Raises PaperError."""
    return printed(TEMPLATE, report, title=f"Books of {report.words}", press=press)


def parts_of(kept: Sequence[Mapping[str, Any]]) -> tuple[MonthPart, ...]:
    """From the plain values that are kept."""
    return tuple(
        MonthPart(
            part["name"],
            tuple(_figure(row) for row in part["figures"]),
            tuple(_table(row) for row in part["tables"]),
            tuple(
                (row["svg"].encode(), f"{row['title']}. {row['desc']}", row["title"])
                for row in part["charts"]
            ),
        )
        for part in kept
    )


def _figure(row: Mapping[str, Any]) -> MonthFigure:
    return MonthFigure(
        row["name"], row["value"], row["before"], row["means"], row["rests"], row["interval"], row["open_orders"],
        row["pale"],
    )  # fmt: skip


def _table(row: Mapping[str, Any]) -> MonthTable:
    return MonthTable(
        row["name"], row["means"], _cells(row["heads"]), tuple(_cells(cells) for cells in row["rows"]),
        _cells(row["sums"]), row["more"],
    )  # fmt: skip


def _cells(row: Sequence[Sequence[Any]]) -> tuple[tuple[str, bool], ...]:
    return tuple((str(text), bool(num)) for text, num in row)
