"""What was billed, paid and is owed on one order, with the forms that change it."""

import secrets
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.forms import Form

from intake.models import Order, Person
from quotes import billing
from quotes.models import Invoice
from shop.models import Override
from shop.traveller.forms.bill import CreditForm, LetGoForm, PayForm, RefundForm


def money_context(order: Order, *, person: Person, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Keys: invoices, payments, owed, over, let_go, pay_form, refund_form, let_go_form."""
    owed = billing.balance(order)
    return {
        "invoices": _invoices(order, person, forms),
        "payments": list(order.payments.select_related("by")),
        "owed": owed,
        "over": max(-owed, Decimal(0)),
        "is_owner": person.is_owner,
        "let_go": Override.objects.filter(order=order).select_related("by").first(),
        "pay_form": forms.get("pay")
        or PayForm(
            currency=order.currency, sees_costs=person.is_owner, owed=owed, initial={"key": _new_key()}
        ),
        "refund_form": forms.get("refund")
        or RefundForm(currency=order.currency, over=-owed, initial={"key": _new_key()}),
        "let_go_form": forms.get("let_go") or LetGoForm(),
    }


def _new_key() -> str:
    return secrets.token_urlsafe(24)


def _invoices(order: Order, person: Person, forms: Mapping[str, Form]) -> list[dict[str, Any]]:
    rows = list(order.invoices.prefetch_related("lines"))
    credited = {row.credit_of_id: row.number for row in rows if row.credit_of_id}
    papers = {paper.key: paper for paper in order.papers.filter(maker__in=["invoice", "credit_note"])}
    refused = forms.get("credit")
    return [
        {
            "invoice": row,
            "bill": _bill(row),
            "credited_by": credited.get(row.pk, ""),
            "paper": papers.get(f"{'invoice' if row.kind == 'invoice' else 'credit_note'}:{row.pk}"),
            "credit_form": _credit_form(row, credited, refused) if person.is_owner else None,
        }
        for row in rows
    ]


def _credit_form(invoice: Invoice, credited: Mapping[int, str], refused: Form | None) -> Form | None:
    if refused is not None and str(refused["invoice"].value()) == str(invoice.pk):
        return refused
    if invoice.kind != Invoice.Kind.INVOICE or invoice.pk in credited:
        return None
    return CreditForm(initial={"invoice": invoice.pk}, auto_id=f"credit_{invoice.pk}_%s")


def _bill(invoice: Invoice) -> dict[str, Any]:
    """Keys of frame/bill.html."""
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
        "sums": [
            {
                "words": f"{group['name']} {Decimal(group['rate']).normalize():f} %",
                "amount": Decimal(group["tax"]),
            }
            for group in invoice.tax_groups
            if Decimal(group["tax"])
        ],
        "total": {"words": "In all", "amount": invoice.total},
    }
