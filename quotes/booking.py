"""From rows of money to entries: which key, which words, which legs. Called in the transaction that writes the row."""

from decimal import Decimal

from quotes import ledger
from quotes.document_shapes import invoice_legs
from quotes.journal import balance_of_entry
from quotes.ledger_maths import dispute_lost, dispute_opened, dispute_won, payment, write_off
from quotes.models import Dispute, DisputeEnd, Entry, Invoice, Payment, WriteOff


def book_invoice(invoice: Invoice, *, by: str) -> Entry:
    """The entry of an invoice or credit note, once."""
    return ledger.post(
        key=f"invoice:{invoice.pk}",
        what="invoice" if invoice.kind == Invoice.Kind.INVOICE else "credit note",
        # No name: an entry is under the digest of its closed month, and a person may be erased.
        text=f"{invoice.get_kind_display()} {invoice.number}",
        postings=invoice_legs(invoice),
        order=invoice.order,
        document=invoice.number,
        currency=invoice.currency,
        at=invoice.issued_at,
        by=by,
    )


def payment_words(row: Payment) -> tuple[str, str]:
    """What the entry is called, and its text."""
    deposit = row.purpose == Payment.Purpose.DEPOSIT
    if row.purpose == Payment.Purpose.LOSS:
        return "made good", f"Made good, {row.get_kind_display().lower()}: {row.note}"
    if row.amount < 0:
        what = "deposit back" if deposit else "refund"
    else:
        what = "deposit" if deposit else "payment"
    return what, f"{what.capitalize()}, {row.get_kind_display().lower()}"


def book_payment(row: Payment, *, short: Decimal) -> Entry:
    """The entry of a payment or refund, once; `short` is what deposits lacked before."""
    what, text = payment_words(row)
    return ledger.post(
        key=f"payment:{row.pk}",
        what=what,
        text=text,
        postings=payment(
            kind=row.kind,
            purpose=row.purpose,
            amount=row.amount,
            fee=row.fee,
            short=short,
            rounding=row.rounding,
        ),
        order=row.order,
        currency=row.currency,
        at=row.at,
        by=row.by,
    )


def book_write_off(row: WriteOff) -> Entry:
    """The entry of a write-off, once."""
    return ledger.post(
        key=f"write-off:{row.pk}",
        what="write-off",
        text=f"Written off: {row.why}",
        postings=write_off(row.amount),
        order=row.order,
        currency=row.currency,
        at=row.at,
        by=row.by,
    )


def book_dispute(row: Dispute, *, deposit_held: Decimal) -> Entry:
    """The entry of money that was taken back for now; `deposit_held` as it stood before."""
    paid = row.payment
    return ledger.post(
        key=f"dispute:{row.pk}",
        what="dispute",
        text=f"Taken back for now: {row.why}",
        postings=dispute_opened(
            kind=paid.kind, purpose=paid.purpose, amount=row.amount, fee=row.fee, deposit_held=deposit_held
        ),
        order=paid.order,
        currency=paid.currency,
        at=row.at,
        by=row.by or "provider",
    )


def book_dispute_end(row: DisputeEnd, *, short: Decimal) -> Entry | None:
    """The entry of how it ended; `short` is what deposits lacked before. None where a deposit that was never set off is
    lost: its money left the books when the dispute was opened."""
    paid = row.dispute.payment
    held = balance_of_entry(f"dispute:{row.dispute.pk}", "held")
    made = (
        dispute_won(kind=paid.kind, purpose=paid.purpose, amount=row.dispute.amount, held=held, short=short)
        if row.won
        else dispute_lost(held)
    )
    if not made:
        return None
    return ledger.post(
        key=f"dispute-end:{row.pk}",
        what="dispute won" if row.won else "dispute lost",
        text="The money came back." if row.won else "The money is gone; it is owed again.",
        postings=made,
        order=paid.order,
        currency=paid.currency,
        at=row.at,
        by=row.by or "provider",
    )
