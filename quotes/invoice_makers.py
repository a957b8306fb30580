"""From an invoice's rows to its papers: the PDF that holds the electronic invoice, and the same invoice as UBL beside it."""

import logging
from decimal import Decimal
from zoneinfo import ZoneInfo

from intake.makers import head_of
from intake.models import Paper
from intake.paper_files import register
from intake.papers.html import PaperError, pdf_in_child
from intake.papers.press import Press
from quotes.einvoice.arithmetic import wrong_with
from quotes.einvoice.facts import InvoiceFacts
from quotes.einvoice.fields import NotWritten
from quotes.invoice_facts import billed_until, facts_of, paid_by_then, payments_before
from quotes.models import Invoice
from quotes.papers.invoice import InvoicePaper, ItemRow, PaymentRow, invoice_pdf
from quotes.papers.lines import PricedLine, TaxRow

RIGHTS = "Your rights by law stay as they are."
_log = logging.getLogger("benchpost.papers")


def _row(paper: Paper) -> Invoice:
    wanted = ("order__device", "order__return_address", "letterhead", "quote__rates", "rates", "credit_of")
    return Invoice.objects.select_related(*wanted).get(pk=paper.ref)


def _invoice(paper: Paper) -> bytes:
    invoice = _row(paper)
    facts = facts_of(invoice)
    return invoice_pdf(invoice_paper(invoice, facts), press=_press(facts))


def _press(facts: InvoiceFacts) -> Press:
    """The press that encloses the XML; the plain one where these facts make no electronic invoice."""
    if wrong_with(facts):
        return pdf_in_child
    # Only what draws an invoice needs these libraries, and they take a quarter of a second to load.
    from quotes.einvoice.cii import cii_xml
    from quotes.einvoice.hybrid import hybrid_press

    try:
        xml = cii_xml(facts)
    except NotWritten as fault:
        _log.warning("%s is a plain paper: %s", facts.number, fault)
        return pdf_in_child
    return hybrid_press(xml, author=facts.seller.name, issued=facts.issued)


def _invoice_xml(paper: Paper) -> bytes:
    facts = facts_of(_row(paper))
    faults = wrong_with(facts)
    if faults:
        raise PaperError(f"{facts.number} is no electronic invoice: {' '.join(faults)}")
    from quotes.einvoice.ubl import ubl_xml

    try:
        return ubl_xml(facts)
    except NotWritten as fault:
        raise PaperError(f"{facts.number}: {fault}") from fault


def invoice_paper(invoice: Invoice, facts: InvoiceFacts) -> InvoicePaper:
    """What the paper says, from the same facts as its XML."""
    return InvoicePaper(
        head=head_of(invoice.letterhead),
        number=facts.number,
        code=facts.order_code,
        device=invoice.order.device.what,
        customer=tuple(invoice.to_lines) or (invoice.to_name,),
        customer_tax_number=invoice.to_tax_number,
        issued=facts.issued,
        supplied=facts.supplied,
        due=facts.due if facts.kind == "invoice" else None,
        lines=_lines(invoice, facts),
        items=tuple(ItemRow(item.text, -item.amount, item.percent) for item in facts.allowances),
        line_sum=facts.line_sum,
        taxes=tuple(TaxRow(group.percent, group.base, group.tax) for group in facts.groups if group.tax),
        net=facts.net,
        tax=facts.tax,
        total=facts.total,
        payable=facts.payable,
        balance=_balance(invoice, facts),
        rounding=facts.rounding,
        reference=facts.reference,
        bank_account=facts.account,
        bank_code=facts.bic,
        credit_of=facts.credit_of[0] if facts.credit_of else "",
        why=invoice.why if facts.kind == "credit" else "",
        quote_words=f"As agreed on quote revision {invoice.quote.revision}." if invoice.quote else "",
        rights_words=RIGHTS,
        tax_name=invoice.tax_groups[0]["name"] if invoice.tax_groups else "Tax",
        tax_reasons=tuple(dict.fromkeys(group.reason for group in facts.groups if group.reason)),
        **_paid(invoice, facts),
    )


def _lines(invoice: Invoice, facts: InvoiceFacts) -> tuple[PricedLine, ...]:
    """The lines that are no reductions, at the price as it was quoted."""
    kept = {line.number for line in facts.lines}
    sign = -1 if facts.kind == "credit" else 1
    return tuple(
        PricedLine(
            text=row.text,
            quantity=row.quantity,
            unit_price=sign * row.unit_price,
            net=sign * row.net,
            tax_percent=row.tax_percent,
            per=row.per,
            allowance=abs(row.allowance),
            charge=abs(row.charge),
        )
        for row in invoice.lines.all()
        if str(row.number) in kept
    )


def _paid(invoice: Invoice, facts: InvoiceFacts) -> dict[str, object]:
    """The payments one by one where they are what is set off; one sum where they are not."""
    if not facts.prepaid:
        return {}
    zone = ZoneInfo(invoice.letterhead.zone)
    rows = payments_before(invoice)
    if sum((row.amount for row in rows), Decimal(0)) != facts.prepaid:
        return {"set_off": facts.prepaid}
    return {
        "payments": tuple(
            PaymentRow(row.at.astimezone(zone).date(), row.get_kind_display(), row.amount) for row in rows
        )
    }


def _balance(invoice: Invoice, facts: InvoiceFacts) -> Decimal:
    """What this paper asks for; on a credit note what the order's documents and payments leave over by then."""
    if facts.kind == "invoice":
        return facts.payable
    return min(billed_until(invoice, itself=True) - paid_by_then(invoice), Decimal(0))


def register_all() -> None:
    register("invoice", _invoice)
    register("credit_note", _invoice)
    register("invoice_xml", _invoice_xml, suffix=".xml")
