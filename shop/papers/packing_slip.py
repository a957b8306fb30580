"""The packing slip: what goes back in the box, ticked against what came in."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed


@dataclass(frozen=True)
class PackedItem:
    """One thing of the box: whether it came in, whether it goes out, and why not if not."""

    what: str
    came_in: bool
    goes_out: bool
    note: str = ""


@dataclass(frozen=True)
class PackingSlip:
    head: Head
    code: str
    customer: str
    device: str
    outcome: str
    packed_at: datetime
    packed_by: str
    items: tuple[PackedItem, ...]
    enclosed: tuple[str, ...] = ()
    serial: str = ""
    weight_grams: int | None = None
    carrier: str = ""
    service: str = ""
    tracking: str = ""
    cover: Decimal | None = None
    post_marks: tuple[str, ...] = ()
    looked_at: tuple[str, ...] = ()
    without: str = ""


TEMPLATE = "papers/packing_slip.html"


def packing_slip_html(slip: PackingSlip) -> str:
    return filled(TEMPLATE, slip)


def packing_slip_pdf(slip: PackingSlip, *, press: Press = pdf_in_child) -> bytes:
    """The slip as PDF. Raises PaperError."""
    return printed(TEMPLATE, slip, title=f"Packing slip {slip.code}", press=press)
