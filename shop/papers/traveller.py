"""The traveller on paper: one sheet that goes round the bench with the device, signed station by station."""

from dataclasses import dataclass
from datetime import datetime

from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed


@dataclass(frozen=True)
class SheetReading:
    place: str
    should_be: str
    read: str
    out: bool = False


@dataclass(frozen=True)
class StationRow:
    """One station. `state` is "signed", "open" or "blank"; `initials` and `when` fill the signature of a signed one."""

    number: int
    name: str
    state: str
    text: str = ""
    initials: str = ""
    when: str = ""
    minutes: str = ""
    readings: tuple[SheetReading, ...] = ()


@dataclass(frozen=True)
class TravellerPaper:
    """The whole sheet for the bench. `slips` are the open holds in words; nothing of the customer's address is on it."""

    head: Head
    code: str
    device: str
    says: str
    stations: tuple[StationRow, ...]
    printed_at: datetime
    serial: str = ""
    bag: str = ""
    idea: str = ""
    data_wish: str = ""
    promised: str = ""
    return_by: str = ""
    slips: tuple[str, ...] = ()
    flag: str = ""


TEMPLATE = "papers/traveller.html"


def traveller_html(sheet: TravellerPaper) -> str:
    return filled(TEMPLATE, sheet)


def traveller_pdf(sheet: TravellerPaper, *, press: Press = pdf_in_child) -> bytes:
    """The sheet as PDF. Raises PaperError."""
    return printed(TEMPLATE, sheet, title=f"Traveller {sheet.code}", press=press)
