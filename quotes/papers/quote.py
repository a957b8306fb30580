"""The quote: what was found, every choice with its fixed total, and what happens if it fails."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from intake.papers.head import Head, Snap
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed
from quotes.papers.lines import PricedLine


@dataclass(frozen=True)
class ReadingRow:
    """One measurement in plain words: where, what it should be, what it is."""

    place: str
    should_be: str
    is_now: str
    out: bool = False


@dataclass(frozen=True)
class QuoteTax:
    """Tax of one category and rate: `net` is what it is taken on, `why` says in words why there is none."""

    name: str
    percent: Decimal
    net: Decimal
    tax: Decimal
    why: str = ""


@dataclass(frozen=True)
class ExtraRow:
    """Something more to be had with a choice: what it adds, tax counted in."""

    text: str
    amount: Decimal


@dataclass(frozen=True)
class ChoiceRow:
    """One choice. `total` is payable in all, tax counted in; None where it is told elsewhere.

    The lines' amounts are as on the customer's page: with tax where the shop's prices hold it.
    """

    label: str
    total: Decimal | None
    words: str = ""
    promise: date | None = None
    warranty_words: str = ""
    chance: str = ""
    data_words: str = ""
    fails_words: str = ""
    no_fix_total: Decimal | None = None
    lines: tuple[PricedLine, ...] = ()
    taxes: tuple[QuoteTax, ...] = ()
    extras: tuple[ExtraRow, ...] = ()


@dataclass(frozen=True)
class ChangeRow:
    """One difference to the revision before; None where the line was not there."""

    text: str
    before: Decimal | None
    after: Decimal | None
    change: Decimal


@dataclass(frozen=True)
class QuotePaper:
    """All that the customer is shown. `digest` is the SHA-256 of the record of what is shown.

    `replaces` is the number of the revision before, nought for a first quote; `deposit` None where none is asked for.
    """

    head: Head
    code: str
    revision: int
    customer: str
    device: str
    finding: str
    choices: tuple[ChoiceRow, ...]
    sent_at: datetime
    valid_until: datetime
    digest: str
    idea: str = ""
    idea_answer: str = ""
    says: str = ""
    readings: tuple[ReadingRow, ...] = ()
    photos: tuple[Snap, ...] = ()
    deposit: Decimal | None = None
    deposit_words: str = ""
    replaces: int = 0
    changes: tuple[ChangeRow, ...] = ()
    part_words: str = ""
    withdrawal_words: str = ""
    terms_version: str = ""
    tax_inclusive: bool = False


TEMPLATE = "papers/quote.html"


def quote_html(quote: QuotePaper) -> str:
    return filled(TEMPLATE, quote, **_more(quote))


def quote_pdf(quote: QuotePaper, *, press: Press = pdf_in_child) -> bytes:
    """The quote as PDF. Raises PaperError."""
    title = f"Quote {quote.code}, revision {quote.revision}"
    return printed(TEMPLATE, quote, title=title, press=press, **_more(quote))


def _more(quote: QuotePaper) -> dict[str, object]:
    return {
        "works": tuple(choice for choice in quote.choices if choice.lines),
        "difference": sum((row.change for row in quote.changes), Decimal(0)),
    }
