"""The invoice and the credit note: one layout, two words."""

import io
from base64 import b64encode
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.papers.codes import QUIET_QR
from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed
from quotes.papers.lines import PricedLine, TaxRow
from quotes.papers.transfer_code import NoCode, transfer_payload, transfer_symbol

MODULE_MM = 0.7


@dataclass(frozen=True)
class PaymentRow:
    """One payment seen, or a refund as a negative amount."""

    on: date
    how: str
    amount: Decimal


@dataclass(frozen=True)
class ItemRow:
    """A reduction (below nought) or an addition on the whole document."""

    text: str
    amount: Decimal
    percent: Decimal = Decimal(0)


@dataclass(frozen=True)
class InvoicePaper:
    """`credit_of` is the invoice's number on a credit note, and empty on an invoice; `why` its reason.

    `balance` is what is still to pay (negative: what we owe you). `reference` is an ISO 11649 creditor
    reference. Amounts are positive on both papers, in the head's currency. `set_off` is a deposit that came
    before; `rounding` what the total was rounded by; `tax_reasons` say why there is no tax.
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
    bank_code: str = ""
    quote_words: str = ""
    rights_words: str = "Your rights by law stay as they are."
    tax_note: str = ""
    tax_name: str = "Tax"
    items: tuple[ItemRow, ...] = ()
    line_sum: Decimal | None = None
    set_off: Decimal = Decimal(0)
    rounding: Decimal = Decimal(0)
    payable: Decimal | None = None
    customer_tax_number: str = ""
    tax_reasons: tuple[str, ...] = ()


class Drawn:
    """A picture's address: not a text, so that the paper's care for texts leaves it whole."""

    def __init__(self, address: str) -> None:
        self.address = address


TEMPLATE = "papers/invoice.html"


def invoice_html(invoice: InvoicePaper) -> str:
    return filled(TEMPLATE, invoice, **_more(invoice))


def invoice_pdf(invoice: InvoicePaper, *, press: Press = pdf_in_child) -> bytes:
    """The invoice, or the credit note where `credit_of` is given, as PDF. Raises PaperError."""
    kind = "Credit note" if invoice.credit_of else "Invoice"
    return printed(TEMPLATE, invoice, title=f"{kind} {invoice.number}", press=press, **_more(invoice))


def _more(invoice: InvoicePaper) -> dict[str, object]:
    return {
        "owed_back": -invoice.balance,
        "spaced_reference": _in_fours(invoice.reference),
        "transfer": _transfer(invoice),
    }


def _in_fours(reference: str) -> str:
    """A payment reference in groups of four, as ISO 11649 has it printed."""
    return " ".join(reference[start : start + 4] for start in range(0, len(reference), 4))


def transfer_text(invoice: InvoicePaper) -> str:
    """What the transfer code holds; '' where there is none: nothing to pay, another currency, no IBAN."""
    if invoice.credit_of or invoice.balance <= 0 or invoice.head.currency != "EUR":
        return ""
    try:
        return transfer_payload(
            name=invoice.head.supplier,
            account=invoice.bank_account,
            bank=invoice.bank_code,
            amount=invoice.balance,
            reference=invoice.reference,
            text="" if invoice.reference else f"{invoice.number} {invoice.code}",
        )
    except NoCode:
        return ""


def _transfer(invoice: InvoicePaper) -> Drawn | None:
    payload = transfer_text(invoice)
    if not payload:
        return None
    out = io.BytesIO()
    transfer_symbol(payload).save(
        out, kind="svg", xmldecl=False, svgclass=None, lineclass=None, border=QUIET_QR,
        scale=MODULE_MM, unit="mm", light="#fff",
    )  # fmt: skip
    return Drawn("data:image/svg+xml;base64," + b64encode(out.getvalue()).decode())
