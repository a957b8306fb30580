"""Invoices, credit notes, and what is still owed.

An invoice comes only after a signed test or a no fix, never exceeds what was agreed, and is never changed:
what is wrong is put right by a credit note.
"""

import datetime as dt
import zoneinfo
from collections.abc import Sequence
from decimal import Decimal

from django.db.models import Sum

from intake import codes, history, letters
from intake.addressing import address_lines
from intake.history import in_turn
from intake.models import Letterhead, Order, Paper, Person
from intake.money import quantize
from quotes.models import Invoice, InvoiceLine, NumberSeries, Quote, QuoteLine, Rates
from quotes.policies import policy_of
from quotes.pricing import LineInput, Priced, price
from quotes.refusals import Refused

RECYCLED = "recycled"


@in_turn
def next_number(kind: str) -> str:
    """The next number of a series, without gaps: taken in the transaction that uses it, or not at all."""
    series, _ = NumberSeries.objects.select_for_update().get_or_create(kind=kind)
    number = series.next
    NumberSeries.objects.filter(kind=kind).update(next=number + 1)
    prefix = {"invoice": "INV", "credit": "CRN"}[kind]
    return f"{prefix}-{number:05d}"


def balance(order: Order) -> Decimal:
    """What is still owed: invoices and credit notes less payments. Below nought: to be paid back."""
    billed = order.invoices.aggregate(sum=Sum("total"))["sum"] or Decimal(0)
    paid = order.payments.aggregate(sum=Sum("amount"))["sum"] or Decimal(0)
    return quantize(billed - paid, order.currency)


def bill_agreed(*, order: Order, quote: Quote, by: Person, at: dt.datetime) -> Invoice | None:
    """Invoice the agreed quote line for line. Refuses a second one for the same quote."""
    lines = [
        LineInput(
            kind=line.kind,
            text=line.text,
            quantity=line.quantity,
            unit_price=line.unit_price,
            unit_cost=Decimal(0),
            tax_percent=line.tax_percent,
        )
        for line in quote.lines.all()
    ]
    priced = price(lines, policy_of(quote.rates, quote.currency, minimum=False))
    if priced.total > quote.total:
        raise Refused(f"The bill of {priced.total} would be above the agreed {quote.total}.")
    return _issue(order, priced, quote=quote, key=f"agreed:{quote.pk}", by=by, at=at, why="")


def bill_return(
    *, order: Order, rates: Rates, by: Person, at: dt.datetime, why: str, quote: Quote | None = None
) -> Invoice | None:
    """Invoice what was said before to be owed when nothing was mended: return post, a fee if told, and after a
    repair that failed the lines that the quote said are owed all the same. Nothing is posted of what is recycled."""
    lines = _told_before(rates, quote, why)
    if not lines:
        return None
    priced = price(lines, policy_of(rates, order.currency, minimum=False))
    told = None if quote is None else _told_total(quote, why)
    if told is not None and priced.total > told:
        raise Refused(f"The bill of {priced.total} would be above the {told} that was told before.")
    return _issue(order, priced, quote=quote, key=f"return:{order.pk}", by=by, at=at, why=why)


def _told_total(quote: Quote, why: str) -> Decimal:
    return {"no fix": quote.no_fix_total, RECYCLED: quote.recycle_total}.get(why, quote.back_total)


def _told_before(rates: Rates, quote: Quote | None, why: str) -> list[LineInput]:
    quoted = list(quote.lines.all()) if quote is not None else []
    lines = [] if why == RECYCLED else _post_home(rates, quoted)
    if why == "no fix" and quote is not None:
        shown = zip(quoted, quote.shown["lines"], strict=True)
        lines = [_as_quoted(line) for line, told in shown if told.get("still_charged")] + lines
    if why in ("declined", RECYCLED) and rates.declined_fee:
        lines.append(LineInput("fee", "Diagnosis", unit_price=rates.declined_fee))
    return [line for line in lines if line.unit_price]


def _post_home(rates: Rates, quoted: list[QuoteLine]) -> list[LineInput]:
    post = [_as_quoted(line) for line in quoted if line.kind == "post"]
    return post or [LineInput("post", "Return post", unit_price=rates.return_post_price)]


def _as_quoted(line: QuoteLine) -> LineInput:
    return LineInput(
        line.kind, line.text, line.quantity, line.unit_price, Decimal(0), tax_percent=line.tax_percent
    )


@in_turn
def _issue(
    order: Order,
    priced: Priced,
    *,
    quote: Quote | None,
    key: str,
    by: Person,
    at: dt.datetime,
    why: str,
) -> Invoice | None:
    known = Invoice.objects.filter(key=key).first()
    if known is not None or not priced.total:
        return known
    head = quote.letterhead if quote is not None else Letterhead.current()
    rates = quote.rates if quote is not None else Rates.current()
    number = next_number("invoice")
    invoice = Invoice.objects.create(
        kind="invoice",
        number=number,
        order=order,
        quote=quote,
        key=key,
        letterhead=head,
        to_name=order.customer.name if order.customer else "Unknown sender",
        to_lines=list(address_lines(order.return_address, home=head.country)),
        currency=order.currency,
        net=priced.net,
        tax=priced.tax,
        total=priced.total,
        tax_groups=groups_as_text(priced),
        why=why,
        reference=codes.payment_reference(number.replace("-", "")),
        issued_at=at,
        due=_day(at, head) + dt.timedelta(days=rates.payment_days),
    )
    _write_lines(invoice, priced)
    _after_issue(invoice, by, at)
    return invoice


def _day(at: dt.datetime, head: Letterhead) -> dt.date:
    """The day on the shop's own calendar."""
    return at.astimezone(zoneinfo.ZoneInfo(head.zone)).date()


def _write_lines(invoice: Invoice, priced: Priced) -> None:
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=invoice,
            number=number,
            kind=line.kind,
            text=line.text,
            quantity=line.quantity,
            unit_price=line.unit_price,
            net=line.net,
            tax_percent=line.rate,
        )
        for number, line in enumerate(priced.lines, start=1)
    )


def _after_issue(invoice: Invoice, by: Person, at: dt.datetime) -> None:
    title = "Invoice" if invoice.kind == "invoice" else "Credit note"
    letters.paper(
        order=invoice.order,
        maker="invoice" if invoice.kind == "invoice" else "credit_note",
        ref=invoice.pk,
        title=f"{title} {invoice.number}",
        file_name=f"{invoice.number}.pdf",
        at=at,
        letterhead=invoice.letterhead,
    )
    history.record(
        order=invoice.order,
        what=title.lower(),
        by=by.username,
        at=at,
        facts={"number": invoice.number, "total": str(invoice.total), "currency": invoice.currency},
    )


def groups_as_text(priced: Priced) -> list[dict[str, str]]:
    """The tax of each rate as rows keep it: amounts as text."""
    return [
        {"name": group.name, "rate": str(group.rate), "base": str(group.base), "tax": str(group.tax)}
        for group in priced.tax_groups
    ]


def papers_of(*documents: Invoice | None) -> Sequence[Paper]:
    """The papers of invoices and credit notes, for a letter."""
    keys = [
        f"{'invoice' if row.kind == 'invoice' else 'credit_note'}:{row.pk}"
        for row in documents
        if row is not None
    ]
    return list(Paper.objects.filter(key__in=keys))


@in_turn
def credit(*, invoice: Invoice, why: str, by: Person, at: dt.datetime) -> Invoice:
    """Undo an invoice whole by a credit note. A second one for the same invoice is refused."""
    if invoice.kind != "invoice":
        raise Refused("Only an invoice can be credited.")
    if not why.strip():
        raise Refused("Say why it is credited; the customer reads it.", field="why")
    known = Invoice.objects.filter(key=f"credit:{invoice.pk}").first()
    if known is not None:
        raise Refused(f"{invoice.number} was credited already by {known.number}.")
    note = _credit_note(invoice, why, at)
    _after_issue(note, by, at)
    letters.tell(
        note.order, kind="credited", ref=note.pk, at=at, papers=papers_of(note), invoice=invoice, note=note
    )
    return note


def _credit_note(invoice: Invoice, why: str, at: dt.datetime) -> Invoice:
    note = Invoice.objects.create(
        kind="credit",
        number=next_number("credit"),
        order=invoice.order,
        quote=invoice.quote,
        credit_of=invoice,
        key=f"credit:{invoice.pk}",
        letterhead=invoice.letterhead,
        to_name=invoice.to_name,
        to_lines=invoice.to_lines,
        currency=invoice.currency,
        net=-invoice.net,
        tax=-invoice.tax,
        total=-invoice.total,
        tax_groups=[
            {**group, "base": str(-Decimal(group["base"])), "tax": str(-Decimal(group["tax"]))}
            for group in invoice.tax_groups
        ],
        why=why.strip()[:200],
        issued_at=at,
        due=_day(at, invoice.letterhead),
    )
    lines = list(invoice.lines.all())
    for line in lines:
        line.pk, line.invoice, line.unit_price, line.net = None, note, -line.unit_price, -line.net
    InvoiceLine.objects.bulk_create(lines)
    return note
