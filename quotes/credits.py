"""Credit notes: what is wrong on an invoice is put right by a further document, whole or in part, never above it."""

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal

from intake import letters
from intake.history import in_turn
from intake.models import Order, Person
from quotes import numbers
from quotes.credit_maths import CreditError, Part, part_of
from quotes.document_shapes import invoiced_groups, invoiced_lines
from quotes.issuing import after_issue, papers_of
from quotes.journal import day_at
from quotes.models import Invoice, InvoiceLine
from quotes.owed import balance, to_pay_back
from quotes.refusals import Refused


@in_turn
def credit(
    *,
    invoice: Invoice,
    why: str,
    by: Person,
    at: dt.datetime,
    lines: Mapping[int, Decimal] | None = None,
    key: str = "",
) -> Invoice:
    """Credit an invoice: `lines` gives quantities by line number; None credits all that is left.

    `key` names the form it came from, so that a form sent twice credits once. The deposit that was set off stays set off:
    what is too much then is owed back. Raises Refused for a document that is none, no reason, or more than is left.
    """
    known = Invoice.objects.filter(key=f"credit:{key}").first() if key else None
    if known is not None:
        return known
    if invoice.kind != Invoice.Kind.INVOICE:
        raise Refused("Only an invoice can be credited.")
    if not why.strip():
        raise Refused("Say why it is credited; the customer reads it.", field="why")
    notes = list(invoice.credits.order_by("id"))
    left = left_of(invoice)
    if notes and not any(left.values()):
        numbers_ = ", ".join(note.number for note in notes)
        raise Refused(f"{invoice.number} was credited already by {numbers_}.")
    part = _part(invoice, left if lines is None else lines, left)
    Order.objects.select_for_update().get(pk=invoice.order_id)
    note = _write(invoice, part, why, at, key=f"credit:{key}" if key else _key(invoice, len(notes)))
    after_issue(note, by=by, at=at)
    _tell(note, invoice, whole=part.last and not notes, at=at)
    return note


def _tell(note: Invoice, invoice: Invoice, *, whole: bool, at: dt.datetime) -> None:
    letters.tell(
        note.order,
        kind="credited",
        ref=note.pk,
        at=at,
        papers=papers_of(note),
        invoice=invoice,
        note=note,
        sum=-note.total,
        whole=whole,
        owed=balance(note.order),
        back=to_pay_back(note.order),
    )


def left_of(invoice: Invoice) -> dict[int, Decimal]:
    """By line number, the quantity that was not credited yet."""
    gone = _credited(invoice)
    return {line.number: line.quantity - gone.get(line.number, Decimal(0)) for line in invoice.lines.all()}


def is_credited_whole(invoice: Invoice) -> bool:
    """Whether nothing of the invoice is left."""
    return not any(left_of(invoice).values())


def _credited(invoice: Invoice) -> dict[int, Decimal]:
    """Lines of old credit notes name no line: those notes mirrored the whole invoice, number for number."""
    rows = InvoiceLine.objects.filter(invoice__credit_of=invoice)
    gone: dict[int, Decimal] = {}
    for of, number, quantity in rows.values_list("credit_of_line__number", "number", "quantity"):
        gone[of or number] = gone.get(of or number, Decimal(0)) + quantity
    return gone


def _key(invoice: Invoice, before: int) -> str:
    return f"credit:{invoice.pk}:{before + 1}" if before else f"credit:{invoice.pk}"


def _part(invoice: Invoice, wanted: Mapping[int, Decimal], left: Mapping[int, Decimal]) -> Part:
    lines = list(invoice.lines.all())
    before = {line.number: line.quantity - left[line.number] for line in lines}
    try:
        return part_of(
            invoiced_lines(lines),
            invoiced_groups(invoice),
            before=before,
            now=wanted,
            currency=invoice.currency,
        )
    except CreditError as fault:
        raise Refused(str(fault), field="lines") from fault


def _write(invoice: Invoice, part: Part, why: str, at: dt.datetime, *, key: str) -> Invoice:
    note = Invoice.objects.create(
        kind=Invoice.Kind.CREDIT,
        number=numbers.next_number("credit"),
        order=invoice.order,
        quote=invoice.quote,
        credit_of=invoice,
        key=key,
        rates=invoice.rates,
        letterhead=invoice.letterhead,
        to_name=invoice.to_name,
        to_lines=invoice.to_lines,
        to_country=invoice.to_country,
        to_tax_number=invoice.to_tax_number,
        to_email=invoice.to_email,
        to_kind=invoice.to_kind,
        currency=invoice.currency,
        net=-part.net,
        tax=-part.tax,
        total=-(part.net + part.tax),
        rounding=-invoice.rounding if part.last else Decimal(0),
        tax_groups=_groups(invoice, part),
        prepaid=Decimal(0),
        why=why.strip()[:200],
        issued_at=at,
        due=day_at(at, invoice.letterhead),
    )
    _write_lines(note, invoice, part)
    return note


def _groups(invoice: Invoice, part: Part) -> list[dict[str, str]]:
    taken = {(group.category, group.percent): group for group in part.groups}
    told = []
    for group, plain in zip(invoice.tax_groups, invoiced_groups(invoice), strict=True):
        mine = taken.get((plain.category, plain.percent))
        if mine is not None:
            told.append({**group, "base": str(-mine.base), "tax": str(-mine.tax)})
    return told


def _write_lines(note: Invoice, invoice: Invoice, part: Part) -> None:
    of = {line.number: line for line in invoice.lines.all()}
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=note,
            number=number,
            kind=of[line.number].kind,
            text=of[line.number].text,
            quantity=line.quantity,
            unit_price=-of[line.number].unit_price,
            per=of[line.number].per,
            allowance=-line.allowance,
            charge=-line.charge,
            net=-line.net,
            tax_percent=of[line.number].tax_percent,
            tax_category=of[line.number].tax_category,
            tax_reason=of[line.number].tax_reason,
            credit_of_line=of[line.number],
        )
        for number, line in enumerate(part.lines, start=1)
    )
