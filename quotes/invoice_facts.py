"""From an invoice's rows to the plain facts of the electronic invoice, and why one cannot be made."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from zoneinfo import ZoneInfo

from intake.addressing import address_lines
from intake.models import Letterhead
from intake.money import quantize
from quotes.einvoice.arithmetic import line_net, wrong_with
from quotes.einvoice.facts import Group, InvoiceFacts, Item, LineFacts, Party, TaxRule
from quotes.models import Entry, Invoice, InvoiceLine, Payment

NOUGHT = Decimal(0)


def why_not_electronic(invoice: Invoice) -> list[str]:
    """What keeps this invoice from being an electronic one, as sentences for the owner; [] when it is one."""
    return wrong_with(facts_of(invoice))


def facts_of(invoice: Invoice) -> InvoiceFacts:
    """The facts of an invoice or a credit note, amounts turned positive on the latter."""
    sign = Decimal(-1) if invoice.kind == Invoice.Kind.CREDIT else Decimal(1)
    currency, head = invoice.currency, invoice.letterhead
    rows = [_line(row, sign, currency) for row in invoice.lines.all()]
    lines = tuple(row for row in rows if row.net >= 0)
    allowances = tuple(Item(row.text, -row.net, row.category, row.percent) for row in rows if row.net < 0)
    line_sum = sum((row.net for row in lines), quantize(NOUGHT, currency))
    total = quantize(sign * invoice.total, currency)
    prepaid, rounding = paid_before(invoice), quantize(sign * invoice.rounding, currency)
    day = _day(invoice.issued_at, head)
    return InvoiceFacts(
        number=invoice.number,
        kind="credit" if sign < 0 else "invoice",
        issued=day,
        currency=currency,
        seller=_seller(head),
        buyer=_buyer(invoice),
        lines=lines,
        groups=_groups(invoice, sign),
        line_sum=line_sum,
        net=quantize(sign * invoice.net, currency),
        tax=quantize(sign * invoice.tax, currency),
        total=total,
        payable=total - prepaid + rounding,
        allowances=allowances,
        allowance_sum=sum((item.amount for item in allowances), quantize(NOUGHT, currency)),
        prepaid=prepaid,
        rounding=rounding,
        due=invoice.due,
        supplied=day,
        reference=invoice.reference,
        account=head.bank_account,
        bic=head.bank_code,
        order_code=invoice.order.code,
        credit_of=_credited(invoice),
        note=invoice.why if sign < 0 else "",
        tax_rule=_tax_rule(invoice),
    )


def paid_before(invoice: Invoice) -> Decimal:
    """What is set off on an invoice: its deposit, or what had come by its moment beyond the order's earlier documents."""
    if invoice.kind != Invoice.Kind.INVOICE:
        return quantize(NOUGHT, invoice.currency)
    left = paid_by_then(invoice) - billed_until(invoice, itself=False)
    return quantize(max(invoice.prepaid, left, NOUGHT), invoice.currency)


def paid_by_then(invoice: Invoice) -> Decimal:
    """All that had come for the order before the document. Added here: SQLite would add in floating point."""
    return sum((row.amount + row.rounding for row in payments_before(invoice)), NOUGHT)


def payments_before(invoice: Invoice) -> list[Payment]:
    """The order's payments booked before the document. By the journal's numbers, not by time: a bank statement read
    later brings payments of an earlier day, and a paper drawn after it must say what one drawn before it said. What was
    made good is no part of the bill."""
    rows = [row for row in invoice.order.payments.all() if row.purpose != Payment.Purpose.LOSS]
    numbers = dict(Entry.objects.filter(order=invoice.order_id).values_list("key", "number"))
    own = numbers.get(f"invoice:{invoice.pk}")
    if own is None:
        return [row for row in rows if row.at <= invoice.issued_at]
    return [row for row in rows if numbers.get(f"payment:{row.pk}", own) < own]


def billed_until(invoice: Invoice, *, itself: bool) -> Decimal:
    """What the order's documents asked for before this one, or with it, in the order they were written."""
    last = invoice.pk if itself else invoice.pk - 1
    rows = invoice.order.invoices.all()
    return sum((row.total + row.rounding for row in rows if row.pk <= last), NOUGHT)


def _line(row: InvoiceLine, sign: Decimal, currency: str) -> LineFacts:
    line = LineFacts(
        number=str(row.number),
        text=row.text,
        quantity=row.quantity,
        price=sign * row.unit_price,
        net=quantize(sign * row.net, currency),
        category=_letter(row.tax_category, row.tax_percent),
        percent=row.tax_percent,
        per=row.per,
        allowance=quantize(abs(row.allowance), currency),
        charge=quantize(abs(row.charge), currency),
    )
    if line.net < 0 or line_net(line, currency) == line.net:
        return line
    # A price that held the tax is no price of EN 16931: the line's net for its whole quantity is, and is exact.
    return replace(line, price=line.net, per=line.quantity, allowance=NOUGHT, charge=NOUGHT)


def _letter(category: str, percent: Decimal) -> str:
    return category or ("S" if percent else "Z")


def _groups(invoice: Invoice, sign: Decimal) -> tuple[Group, ...]:
    reasons = {_letter(row.tax_category, row.tax_percent): row.tax_reason for row in invoice.lines.all()}
    made = []
    for group in invoice.tax_groups:
        percent = Decimal(group["rate"])
        letter = _letter(group.get("category", ""), percent)
        made.append(
            Group(
                letter,
                percent,
                quantize(sign * Decimal(group["base"]), invoice.currency),
                quantize(sign * Decimal(group["tax"]), invoice.currency),
                group.get("reason", "") or reasons.get(letter, ""),
            )
        )
    return tuple(made)


def _tax_rule(invoice: Invoice) -> TaxRule:
    rates = invoice.rates or (invoice.quote.rates if invoice.quote else None)
    if invoice.credit_of is not None and -invoice.total != invoice.credit_of.total:
        return "share"
    if rates is None:
        return "document"
    if rates.tax_inclusive:
        return "inclusive"
    return "line" if rates.rounding == "line" else "document"


def _seller(head: Letterhead) -> Party:
    street, more = _street(head.street.splitlines())
    return Party(
        name=head.legal_name or head.name,
        country=head.country,
        street=street,
        more=more,
        city=head.city,
        area=head.area,
        postcode=head.postcode,
        trade_name=head.name,
        tax_number=head.tax_number,
        email=head.email,
        phone=head.phone,
    )


def _buyer(invoice: Invoice) -> Party:
    """By its fields where the order's address is still the one that was printed, else by the printed lines."""
    address = invoice.order.return_address
    printed = list(invoice.to_lines)
    country = invoice.to_country or (address.country if address else "")
    known = Party(invoice.to_name, country, tax_number=invoice.to_tax_number, email=invoice.to_email)
    if address is not None and list(address_lines(address, home=invoice.letterhead.country)) == printed:
        street, more = _street([address.organisation, *address.street.splitlines()])
        return replace(
            known, street=street, more=more, city=address.city, area=address.area, postcode=address.postcode
        )
    street, more = _street([line for line in printed if line != invoice.to_name])
    return replace(known, street=street, more=more)


def _street(lines: Iterable[str]) -> tuple[str, str]:
    kept = [line.strip() for line in lines if line.strip()]
    return (kept[0] if kept else ""), ", ".join(kept[1:])


def _credited(invoice: Invoice) -> tuple[str, dt.date] | None:
    if invoice.credit_of is None:
        return None
    return invoice.credit_of.number, _day(invoice.credit_of.issued_at, invoice.letterhead)


def _day(moment: dt.datetime, head: Letterhead) -> dt.date:
    return moment.astimezone(ZoneInfo(head.zone)).date()
