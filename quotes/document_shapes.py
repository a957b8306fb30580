"""Rows of invoices and credit notes as the arithmetic of the ledger and of credits reads them."""

from collections.abc import Iterable
from decimal import Decimal

from quotes.credit_maths import Group, Invoiced
from quotes.ledger_maths import Document, Leg, by_kind, document, tax_kind
from quotes.models import Invoice, InvoiceLine


def invoice_legs(invoice: Invoice) -> tuple[Leg, ...]:
    """The legs of an invoice or credit note as its rows have it."""
    return document(
        Document(
            revenue=by_kind((line.kind, line.net) for line in invoice.lines.all()),
            taxes=by_kind(
                (tax_kind(group.get("category", ""), Decimal(group["rate"])), Decimal(group["tax"]))
                for group in invoice.tax_groups
            ),
            prepaid=invoice.prepaid,
            rounding=invoice.rounding,
        )
    )


def invoiced_lines(lines: Iterable[InvoiceLine]) -> list[Invoiced]:
    """Rows as the arithmetic of credits reads them; a row from before categories has S with a rate and Z without."""
    return [
        Invoiced(
            number=line.number,
            text=line.text,
            quantity=line.quantity,
            unit_price=line.unit_price,
            per=line.per,
            allowance=line.allowance,
            charge=line.charge,
            net=line.net,
            category=_letter(line.tax_category, line.tax_percent),
            percent=line.tax_percent.normalize(),
        )
        for line in lines
    ]


def invoiced_groups(invoice: Invoice) -> list[Group]:
    """The tax groups of a document as the arithmetic of credits reads them."""
    found = []
    for group in invoice.tax_groups:
        rate = Decimal(group["rate"])
        letter = _letter(group.get("category", ""), rate)
        found.append(Group(letter, rate.normalize(), Decimal(group["base"]), Decimal(group["tax"])))
    return found


def _letter(category: str, percent: Decimal) -> str:
    return category or ("S" if percent else "Z")
