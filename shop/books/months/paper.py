"""From a month's kept figures to its paper."""

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

from intake.makers import head_of
from intake.models import Letterhead, Paper
from intake.paper_files import register
from intake.wording import clock, day_year
from shop.books.months.posting import MAKER
from shop.models import BookReport
from shop.papers.books_month import BooksMonth, books_month_pdf, parts_of


def paper_of(figures: dict[str, Any], letterhead: Letterhead, *, running: bool = False) -> BooksMonth:
    """The words of a report as its paper."""
    head = head_of(letterhead)
    at = dt.datetime.fromisoformat(figures["as_of"]).astimezone(ZoneInfo(letterhead.zone))
    return BooksMonth(
        head=head,
        words=figures["words"],
        before=figures["before"],
        as_of=f"{day_year(at.date(), head.locale)}, {clock(at)}",
        said_words=figures["said"],
        parts=parts_of(figures["parts"]),
        foreign=figures["foreign"],
        running=running,
    )


def _drawn(paper: Paper) -> bytes:
    report = BookReport.objects.get(pk=paper.ref)
    return books_month_pdf(paper_of(report.figures, paper.letterhead))


def register_all() -> None:
    register(MAKER, _drawn)
