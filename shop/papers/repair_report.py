"""The repair report: what was wrong, what was done, the same point before and after, and every test."""

from dataclasses import dataclass
from datetime import date

from intake.papers.head import Head, Snap
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed


@dataclass(frozen=True)
class ReadingPair:
    """One point measured before and after; `verdict_after` in a word, such as 'in order'."""

    place: str
    should_be: str
    before: str
    after: str
    verdict_after: str = ""


@dataclass(frozen=True)
class TestRow:
    """One row of the test sheet; `result` is 'OK', 'Not OK', 'Not fitted' or 'Cannot test', `note` why or how much."""

    __test__ = False  # the name is the trade's word, not a test of this project

    what: str
    result: str
    note: str = ""


@dataclass(frozen=True)
class RepairReport:
    """`outcome` is one sentence. `before` and `after` are the photo pair of one place at one scale."""

    head: Head
    code: str
    customer: str
    device: str
    outcome: str
    finding: str
    done_on: date
    tested_by: str
    steps: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    readings: tuple[ReadingPair, ...] = ()
    before: Snap | None = None
    after: Snap | None = None
    tests: tuple[TestRow, ...] = ()
    serial: str = ""
    warranty_words: str = ""
    care_words: str = ""
    solder_words: str = ""


TEMPLATE = "papers/repair_report.html"


def repair_report_html(report: RepairReport) -> str:
    return filled(TEMPLATE, report)


def repair_report_pdf(report: RepairReport, *, press: Press = pdf_in_child) -> bytes:
    """The report as PDF. Raises PaperError."""
    return printed(TEMPLATE, report, title=f"Repair report {report.code}", press=press)
