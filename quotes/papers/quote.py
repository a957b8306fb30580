"""The quote: what was found, one fixed total, the choices, and what happens if it fails."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from intake.papers.head import Head, Snap
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed
from quotes.papers.lines import PricedLine, TaxRow


@dataclass(frozen=True)
class ReadingRow:
    """One measurement in plain words: where, what it should be, what it is."""

    place: str
    should_be: str
    is_now: str
    out: bool = False


@dataclass(frozen=True)
class QuotePaper:
    """All that the customer is shown. Totals are what is payable in all for that choice, tax counted in.

    `digest` is the SHA-256 of the record of what is shown; `recycle_total` None where recycling is not offered.
    """

    head: Head
    code: str
    revision: int
    customer: str
    device: str
    finding: str
    lines: tuple[PricedLine, ...]
    taxes: tuple[TaxRow, ...]
    net: Decimal
    tax: Decimal
    total: Decimal
    back_total: Decimal
    no_fix_total: Decimal
    sent_at: datetime
    valid_until: datetime
    digest: str
    idea: str = ""
    idea_answer: str = ""
    readings: tuple[ReadingRow, ...] = ()
    photos: tuple[Snap, ...] = ()
    recycle_total: Decimal | None = None
    no_fix_words: str = ""
    warranty_words: str = ""
    data_words: str = "We work to keep your data and cannot promise it."
    promise: date | None = None
    part_words: str = ""
    withdrawal_words: str = ""
    terms_version: str = ""
    tax_name: str = "Tax"


TEMPLATE = "papers/quote.html"


def quote_html(quote: QuotePaper) -> str:
    return filled(TEMPLATE, quote)


def quote_pdf(quote: QuotePaper, *, press: Press = pdf_in_child) -> bytes:
    """The quote as PDF. Raises PaperError."""
    return printed(TEMPLATE, quote, title=f"Quote {quote.code}, revision {quote.revision}", press=press)
