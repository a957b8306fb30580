"""The receipt for a device that came in: who took it, what it was, what lay in the box, how it looked."""

from dataclasses import dataclass
from datetime import datetime

from intake.papers.head import Head, Snap
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed


@dataclass(frozen=True)
class ArrivalReceipt:
    """`received_at` is aware. `contents` is what was found; `missing` what was announced and not found.

    `chain_head` is the digest of the order's history at that moment: neither side can rewrite it later.
    """

    head: Head
    code: str
    customer: str
    device: str
    received_at: datetime
    received_by: str
    contents: tuple[str, ...]
    condition: str
    serial: str = ""
    missing: tuple[str, ...] = ()
    weight_grams: int | None = None
    box: str = ""
    battery: str = ""
    bag: str = ""
    photos: tuple[Snap, ...] = ()
    next_step: str = "Next we look for the true fault. You then get one fixed price. Nothing to pay now."
    chain_head: str = ""


TEMPLATE = "papers/arrival_receipt.html"


def arrival_receipt_html(receipt: ArrivalReceipt) -> str:
    return filled(TEMPLATE, receipt)


def arrival_receipt_pdf(receipt: ArrivalReceipt, *, press: Press = pdf_in_child) -> bytes:
    """The receipt as PDF. Raises PaperError."""
    return printed(TEMPLATE, receipt, title=f"Arrival receipt {receipt.code}", press=press)
