"""The statement of a trade customer's month: what was owed, what came and went, what is owed, and how old it is."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed

# A paper walks no list longer than a hundred: rows come in blocks.
BLOCK = 50


@dataclass(frozen=True)
class StatementLine:
    """One document or payment; `amount` below nought lowers what is owed."""

    on: date
    text: str
    document: str
    order: str
    amount: Decimal


@dataclass(frozen=True)
class BillRow:
    """What is left of one bill; `number` is empty for money we owe back."""

    number: str
    on: date
    due: date
    left: Decimal
    is_late: bool = False


@dataclass(frozen=True)
class StatementPaper:
    """Amounts in the head's currency. `ages`: name and sum, the youngest first. `lines` and `bills` in blocks of fifty."""

    head: Head
    number: str
    customer: tuple[str, ...]
    since: date
    until: date
    written: date
    opening: Decimal
    closing: Decimal
    lines: tuple[tuple[StatementLine, ...], ...] = ()
    bills: tuple[tuple[BillRow, ...], ...] = ()
    ages: tuple[tuple[str, Decimal], ...] = ()
    late: Decimal = Decimal(0)
    earlier: Decimal = Decimal(0)
    tax_number: str = ""
    bank_account: str = ""
    interest: Decimal | None = None
    interest_percent: Decimal = Decimal(0)


TEMPLATE = "papers/statement.html"


def statement_html(statement: StatementPaper) -> str:
    return filled(TEMPLATE, statement, owed_back=-statement.closing)


def statement_pdf(statement: StatementPaper, *, press: Press = pdf_in_child) -> bytes:
    """The statement as PDF. Raises PaperError."""
    title = f"Statement {statement.number}"
    return printed(TEMPLATE, statement, title=title, press=press, owed_back=-statement.closing)
