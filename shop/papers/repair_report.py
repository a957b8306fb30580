"""The repair report: what was wrong, what was done, the same point before and after, and every test."""

from dataclasses import dataclass
from datetime import date

from intake.papers.head import Head, Snap
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed


@dataclass(frozen=True)
class ReadingPair:
    """One point measured before and after; `verdict_after` in a word, such as 'in order'.

    `known_from` says where `should_be` comes from, with its count; `how` is mode, polarity and state; `meter` its name.
    """

    place: str
    should_be: str
    before: str
    after: str
    verdict_after: str = ""
    known_from: str = ""
    how: str = ""
    meter: str = ""


@dataclass(frozen=True)
class TestRow:
    """One row of the test sheet; `result` is 'OK', 'Not OK', 'Not fitted' or 'Cannot test', `note` why or how much."""

    __test__ = False  # the name is the trade's word, not a test of this project

    what: str
    result: str
    note: str = ""


@dataclass(frozen=True)
class RepairReport:
    """`outcome` is one sentence. `before` and `after` are the photo pair of one place, drawn at one scale.

    `not_tested` and `bad_already` are texts with their reasons; `warranty_days` count from the day it is back, 0 for none;
    `after_liquid` adds what must be known of a board that was wet.
    """

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
    not_tested: tuple[tuple[str, str], ...] = ()
    bad_already: tuple[tuple[str, str], ...] = ()
    second_by: str = ""
    list_version: int = 0
    warranty_days: int = 0
    after_liquid: bool = False
    one_scale: bool = False
    copied: tuple[str, ...] = ()

    @property
    def days_to_say(self) -> int:
        """The days of the warranty, unless its words say them."""
        return 0 if f"{self.warranty_days} days" in self.warranty_words else self.warranty_days

    @property
    def meters(self) -> str:
        """The meters of the readings, each named once."""
        return ", ".join(dict.fromkeys(row.meter for row in self.readings if row.meter))


TEMPLATE = "papers/repair_report.html"


def repair_report_html(report: RepairReport) -> str:
    return filled(TEMPLATE, report)


def repair_report_pdf(report: RepairReport, *, press: Press = pdf_in_child) -> bytes:
    """The report as PDF. Raises PaperError."""
    return printed(TEMPLATE, report, title=f"Repair report {report.code}", press=press)
