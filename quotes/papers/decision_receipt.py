"""The receipt of a decision: what was decided, on exactly what, by whom and when. For keeping."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal

from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed
from quotes.papers.quote import ExtraRow


@dataclass(frozen=True)
class ConsentRow:
    """A consent that was ticked, word for word, with the version of the terms it stood under."""

    text: str
    version: str = ""


@dataclass(frozen=True)
class DecisionReceipt:
    """`decided` is one sentence ("Mend it"); `typed_name` as typed; `channel` how it reached us.

    `recorded_by` is set where a person of the shop wrote the answer down, as on the telephone: then the
    paper says so, with the number called, the moment it was spoken and its conditions. `shown_digest` is the SHA-256 of
    what was shown, `chain_head` that of the history. `total` holds the extras.
    """

    head: Head
    code: str
    revision: int
    customer: str
    device: str
    decided: str
    button_words: str
    typed_name: str
    total: Decimal
    decided_at: datetime
    channel: str
    shown_digest: str
    chain_head: str
    recorded_by: str = ""
    if_it_fails: str = ""
    next_step: str = ""
    withdrawal_words: str = ""
    terms_version: str = ""
    extras: tuple[ExtraRow, ...] = ()
    promise: date | None = None
    no_fix_total: Decimal | None = None
    deposit: Decimal | None = None
    deposit_words: str = ""
    consents: tuple[ConsentRow, ...] = ()
    called_number: str = ""
    spoken_at: datetime | None = None
    conditions: str = ""


TEMPLATE = "papers/decision_receipt.html"


def decision_receipt_html(receipt: DecisionReceipt) -> str:
    return filled(TEMPLATE, receipt, universal=_universal(receipt))


def decision_receipt_pdf(receipt: DecisionReceipt, *, press: Press = pdf_in_child) -> bytes:
    """The receipt as PDF. Raises PaperError."""
    title = f"Your decision on {receipt.code}"
    return printed(TEMPLATE, receipt, title=title, press=press, universal=_universal(receipt))


def _universal(receipt: DecisionReceipt) -> str:
    return receipt.decided_at.astimezone(UTC).strftime("%Y-%m-%d %H:%M:%S UTC")
