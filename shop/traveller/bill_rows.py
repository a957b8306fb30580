"""The bills and payments of one order as the sheet shows them, each with the form that belongs to it."""

import secrets
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.forms import Form

from intake.models import Order, Paper, Person
from quotes.credits import left_of
from quotes.invoice_facts import why_not_electronic
from quotes.models import Dispute, Invoice, Payment
from shop.traveller.forms.bill_more import CreditForm, DisputeForm


def invoice_rows(order: Order, person: Person, forms: Mapping[str, Form]) -> list[dict[str, Any]]:
    """Keys: invoice, bill, to_pay, credited_by, paper, electronic, why_plain, credit_form."""
    rows = list(order.invoices.prefetch_related("lines", "credits"))
    papers = {
        paper.key: paper for paper in order.papers.filter(maker__in=["invoice", "credit_note", "invoice_xml"])
    }
    return [
        {
            "invoice": row,
            "bill": _bill(row),
            "to_pay": row.total + row.rounding - row.prepaid,
            "credited_by": ", ".join(note.number for note in row.credits.all()),
            "paper": _paper(papers, row),
            "electronic": papers.get(f"invoice_xml:{row.pk}"),
            "why_plain": _why_plain(papers, row) if person.is_owner else [],
            "credit_form": _credit_form(row, forms.get("credit")) if person.is_owner else None,
        }
        for row in rows
    ]


def _why_plain(papers: Mapping[str, Paper], row: Invoice) -> list[str]:
    """Why there is no electronic file beside this document, as sentences for the owner."""
    if f"invoice_xml:{row.pk}" in papers:
        return []
    return why_not_electronic(row) or ["It was written before the shop wrote electronic invoices."]


def _paper(papers: Mapping[str, Paper], row: Invoice) -> Paper | None:
    maker = "invoice" if row.kind == Invoice.Kind.INVOICE else "credit_note"
    return papers.get(f"{maker}:{row.pk}")


def _credit_form(invoice: Invoice, refused: Form | None) -> Form | None:
    if isinstance(refused, CreditForm) and refused.row.pk == invoice.pk:
        return refused
    if invoice.kind != Invoice.Kind.INVOICE:
        return None
    left = left_of(invoice)
    if not any(left.values()):
        return None
    return CreditForm(invoice=invoice, left=left, new_key=secrets.token_urlsafe(24))


def payment_rows(order: Order, person: Person, forms: Mapping[str, Form]) -> list[dict[str, Any]]:
    """Keys: payment, disputes, form (to open a dispute, where the owner can)."""
    rows = order.payments.select_related("by").prefetch_related("disputes__end")
    refused = forms.get("dispute")
    return [
        {
            "payment": row,
            "disputes": [(dispute, getattr(dispute, "end", None)) for dispute in row.disputes.all()],
            "form": _dispute_form(row, refused) if person.is_owner else None,
        }
        for row in rows
    ]


def _dispute_form(payment: Payment, refused: Form | None) -> Form | None:
    if isinstance(refused, DisputeForm) and refused.row.pk == payment.pk:
        return refused
    if payment.amount < 0 or payment.kind == Payment.Kind.CASH:
        return None
    taken = sum((row.amount for row in payment.disputes.all() if not _won(row)), Decimal(0))
    if taken >= payment.amount:
        return None
    return DisputeForm(payment=payment, new_key=secrets.token_urlsafe(24))


def _won(dispute: Dispute) -> bool:
    end = getattr(dispute, "end", None)
    return end is not None and end.won


def _bill(invoice: Invoice) -> dict[str, Any]:
    """Keys of frame/bill.html."""
    sums = [
        {
            "words": f"{group['name']} {Decimal(group['rate']).normalize():f} %",
            "amount": Decimal(group["tax"]),
        }
        for group in invoice.tax_groups
        if Decimal(group["tax"])
    ]
    if invoice.rounding:
        sums.append({"words": "Rounded for coins", "amount": invoice.rounding})
    return {
        "caption": f"{invoice.get_kind_display()} {invoice.number}",
        "show_caption": True,
        "currency": invoice.currency,
        "lines": [
            {
                "words": line.text,
                "note": "" if line.quantity == 1 else f"{line.quantity.normalize():f} of them",
                "amount": line.net,
            }
            for line in invoice.lines.all()
        ],
        "sums": sums,
        "total": {"words": "In all", "amount": invoice.total + invoice.rounding},
    }
