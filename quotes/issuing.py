"""Writing an invoice down: number, lines, letterhead of the day, the deposit set off, papers, history, journal."""

import datetime as dt
from collections.abc import Sequence

from intake import codes, history, letters
from intake.addressing import address_lines
from intake.history import in_turn
from intake.models import Letterhead, Order, Paper, Person
from quotes import booking, numbers
from quotes.invoice_facts import why_not_electronic
from quotes.journal import day_at
from quotes.models import Invoice, InvoiceLine, Quote, Rates
from quotes.owed import deposit_held
from quotes.pricing import Priced
from quotes.trade_terms import terms_of

MAKERS = {"invoice": "invoice", "credit": "credit_note"}


@in_turn
def issue(
    order: Order,
    priced: Priced,
    *,
    quote: Quote | None,
    rates: Rates,
    key: str,
    by: Person,
    at: dt.datetime,
    why: str,
) -> Invoice | None:
    """Write the invoice of what was priced; the same key again returns the one that is there. None for nothing to pay."""
    known = Invoice.objects.filter(key=key).first()
    if known is not None or not priced.total:
        return known
    head = quote.letterhead if quote is not None else Letterhead.current()
    number = numbers.next_number("invoice")
    invoice = Invoice.objects.create(
        kind=Invoice.Kind.INVOICE,
        number=number,
        order=order,
        quote=quote,
        key=key,
        rates=rates,
        letterhead=head,
        **_addressee(order, head),
        currency=order.currency,
        net=priced.net,
        tax=priced.tax,
        total=priced.total,
        rounding=priced.rounding,
        prepaid=min(deposit_held(order), priced.total + priced.rounding),
        tax_groups=groups_as_text(priced),
        why=why,
        reference=codes.payment_reference(number.replace("-", "")),
        issued_at=at,
        due=_due(order, rates, head, at),
    )
    _write_lines(invoice, priced)
    after_issue(invoice, by=by, at=at)
    return invoice


def _addressee(order: Order, head: Letterhead) -> dict[str, object]:
    customer, address = order.customer, order.return_address
    terms = terms_of(customer)
    return {
        "to_name": customer.name if customer else "Unknown sender",
        "to_lines": list(address_lines(address, home=head.country)),
        "to_country": address.country if address else "",
        "to_email": customer.email if customer else "",
        "to_kind": terms.kind,
        "to_tax_number": terms.tax_number,
    }


def _due(order: Order, rates: Rates, head: Letterhead, at: dt.datetime) -> dt.date:
    days = terms_of(order.customer).payment_days
    return day_at(at, head) + dt.timedelta(days=rates.payment_days if days is None else days)


def _write_lines(invoice: Invoice, priced: Priced) -> None:
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=invoice,
            number=number,
            kind=line.kind,
            text=line.text[:200],
            quantity=line.quantity,
            unit_price=line.unit_price,
            per=line.per,
            allowance=line.allowance,
            charge=line.charge,
            net=line.net,
            tax_percent=line.rate,
            tax_category=line.tax_category,
            tax_reason=line.tax_reason[:200],
        )
        for number, line in enumerate(priced.lines, start=1)
    )


def after_issue(document: Invoice, *, by: Person, at: dt.datetime) -> None:
    """Papers, history and journal of an invoice or credit note that was just written with its lines."""
    title = "Invoice" if document.kind == Invoice.Kind.INVOICE else "Credit note"
    letters.paper(
        order=document.order,
        maker=MAKERS[document.kind],
        ref=document.pk,
        title=f"{title} {document.number}",
        file_name=f"{document.number}.pdf",
        at=at,
        letterhead=document.letterhead,
    )
    if not why_not_electronic(document):
        letters.paper(
            order=document.order,
            maker="invoice_xml",
            ref=document.pk,
            title=f"{title} {document.number}, electronic",
            file_name=f"{document.number}.xml",
            at=at,
            letterhead=document.letterhead,
        )
    booking.book_invoice(document, by=by.username)
    facts: dict[str, object] = {
        "number": document.number,
        "total": str(document.total),
        "currency": document.currency,
    }
    if document.prepaid:
        facts["prepaid"] = str(document.prepaid)
    history.record(order=document.order, what=title.lower(), by=by.username, at=at, facts=facts)


def groups_as_text(priced: Priced) -> list[dict[str, str]]:
    """The tax of each category and rate as rows keep it: amounts as text."""
    return [
        {
            "name": group.name,
            "rate": str(group.rate),
            "category": group.category,
            "reason": group.reason,
            "base": str(group.base),
            "tax": str(group.tax),
        }
        for group in priced.tax_groups
    ]


def papers_of(*documents: Invoice | None) -> Sequence[Paper]:
    """The papers of invoices and credit notes, for a letter."""
    keys = [f"{MAKERS[row.kind]}:{row.pk}" for row in documents if row is not None]
    return list(Paper.objects.filter(key__in=keys))
