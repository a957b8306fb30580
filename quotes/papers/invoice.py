"""The invoice and the credit note: one layout, two words."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed
from quotes.papers.lines import PricedLine, TaxRow


@dataclass(frozen=True)
class PaymentRow:
    """One payment seen, or a refund as a negative amount."""

    on: date
    how: str
    amount: Decimal


@dataclass(frozen=True)
class InvoicePaper:
    """`credit_of` is the invoice's number on a credit note, and empty on an invoice; `why` its reason.

    `balance` is what is still to pay (negative: what we owe you). `reference` is an ISO 11649 creditor
    reference. Amounts are positive on both papers, in the head's currency.
    """

    head: Head
    number: str
    code: str
    device: str
    customer: tuple[str, ...]
    issued: date
    lines: tuple[PricedLine, ...]
    taxes: tuple[TaxRow, ...]
    net: Decimal
    tax: Decimal
    total: Decimal
    balance: Decimal
    supplied: date | None = None
    due: date | None = None
    payments: tuple[PaymentRow, ...] = ()
    credit_of: str = ""
    why: str = ""
    reference: str = ""
    bank_account: str = ""
    quote_words: str = ""
    rights_words: str = "Your rights by law stay as they are."
    tax_note: str = ""
    tax_name: str = "Tax"


TEMPLATE = "papers/invoice.html"


def invoice_html(invoice: InvoicePaper) -> str:
    return filled(TEMPLATE, invoice, **_more(invoice))


def invoice_pdf(invoice: InvoicePaper, *, press: Press = pdf_in_child) -> bytes:
    """The invoice, or the credit note where `credit_of` is given, as PDF. Raises PaperError."""
    kind = "Credit note" if invoice.credit_of else "Invoice"
    return printed(TEMPLATE, invoice, title=f"{kind} {invoice.number}", press=press, **_more(invoice))


def _more(invoice: InvoicePaper) -> dict[str, object]:
    return {"owed_back": -invoice.balance, "spaced_reference": _in_fours(invoice.reference)}


def _in_fours(reference: str) -> str:
    """A payment reference in groups of four, as ISO 11649 has it printed."""
    return " ".join(reference[start : start + 4] for start in range(0, len(reference), 4))
