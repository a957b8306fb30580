"""The proof of the documents: an invoice is its lines, a credit note is never above it, a bill never above what was agreed."""

from collections.abc import Iterator
from decimal import Decimal

from django.db.models import Prefetch

from intake.models import Order
from intake.money import quantize
from quotes.ceilings import ceiling_of, told_total
from quotes.credit_maths import is_within
from quotes.document_shapes import invoiced_groups, invoiced_lines
from quotes.journal import CHUNK
from quotes.ledger_maths import NOUGHT, by_kind
from quotes.models import Decision, Dispute, Invoice, InvoiceLine, Payment, Quote, Rates
from quotes.owed import NOT_WON


def documents_of_all() -> list[Invoice]:
    """Every invoice and credit note with all the proof asks of it. Eight queries for each five hundred."""
    quote = Prefetch("quote", Quote.objects.defer("shown"))
    order = Prefetch("quote__order", Order.objects.only("standing_limit"))
    answer = Prefetch("quote__decision", Decision.objects.defer("consents", "consent_texts"))
    more = ("lines", "rates", quote, "quote__rates", order, answer, "quote__choices")
    # SQLite spells the keys of a forward look-up out one by one, and takes no more than a thousand of them.
    return list(Invoice.objects.prefetch_related(*more).order_by("id").iterator(CHUNK // 4))


def document_faults(documents: list[Invoice]) -> Iterator[str]:
    """Faults of invoices, credit notes and disputes, each one sentence."""
    for document in documents:
        yield from _sums(document)
        yield from _taxes(document)
    yield from _credits(documents)
    yield from _agreed(documents)
    yield from _disputes()


def _sums(document: Invoice) -> Iterator[str]:
    lines = list(document.lines.all())
    net = sum((line.net for line in lines), NOUGHT)
    tax = sum((group.tax for group in invoiced_groups(document)), NOUGHT)
    if net != document.net:
        yield f"{document.number}: its lines come to {_plain(net)}, and it says {_plain(document.net)}."
    if tax != document.tax:
        yield f"{document.number}: its taxes come to {_plain(tax)}, and it says {_plain(document.tax)}."
    if document.net + document.tax != document.total:
        yield f"{document.number}: net and tax do not make its total of {_plain(document.total)}."
    if document.prepaid > max(document.total + document.rounding, NOUGHT):
        yield f"{document.number}: more deposit was set off than it comes to."
    if not _is_inclusive(document):
        yield from (f"{document.number}, line {line.number}: {_odd(line)}" for line in lines if _odd(line))


def _odd(line: InvoiceLine) -> str:
    currency = line.invoice.currency
    made = quantize(line.quantity * line.unit_price / line.per, currency) - line.allowance + line.charge
    if made == line.net:
        return ""
    return f"quantity times price makes {_plain(made)}, and it says {_plain(line.net)}."


def _taxes(document: Invoice) -> Iterator[str]:
    """Each group's base from its lines; its tax again where the prices do not hold it."""
    lines = invoiced_lines(document.lines.all())
    bases = by_kind((f"{line.category} {line.percent:f}", line.net) for line in lines)
    for group in invoiced_groups(document):
        name = f"{group.category} {group.percent:f}"
        if bases.pop(name, NOUGHT) != group.base:
            yield f"{document.number}: the lines taxed at {name} do not come to {_plain(group.base)}."
        own = [line.net for line in lines if (line.category, line.percent) == (group.category, group.percent)]
        if document.kind == Invoice.Kind.INVOICE and group.tax != _tax(document, group.percent, own):
            yield f"{document.number}: the tax at {name} is not {_plain(group.tax)}."
    for name, base in bases.items():
        if base:
            yield f"{document.number}: no tax is said for the lines at {name}."


def _tax(document: Invoice, percent: Decimal, nets: list[Decimal]) -> Decimal:
    rates = _rates(document)
    if rates is None or rates.tax_inclusive:
        return _within(document, percent)
    if rates.rounding == "line":
        return sum((quantize(net * percent / 100, document.currency) for net in nets), NOUGHT)
    return quantize(sum(nets, NOUGHT) * percent / 100, document.currency)


def _within(document: Invoice, percent: Decimal) -> Decimal:
    """Of prices that hold the tax: what is left of them after the nets. Without rates nothing can be said."""
    groups = [group for group in invoiced_groups(document) if group.percent == percent]
    if _rates(document) is None or len(groups) != 1:
        return groups[0].tax if groups else NOUGHT
    lines = [line for line in document.lines.all() if line.tax_percent == percent]
    gross = sum(
        (
            quantize(line.quantity * line.unit_price / line.per, document.currency)
            - line.allowance
            + line.charge
            for line in lines
        ),
        NOUGHT,
    )
    return gross - sum((line.net for line in lines), NOUGHT)


def _rates(document: Invoice) -> Rates | None:
    return document.rates or (document.quote.rates if document.quote else None)


def _is_inclusive(document: Invoice) -> bool:
    rates = _rates(document)
    return rates is None or rates.tax_inclusive


def _credits(documents: list[Invoice]) -> Iterator[str]:
    notes_of: dict[int, list[Invoice]] = {}
    for note in documents:
        if note.credit_of_id is not None:
            notes_of.setdefault(note.credit_of_id, []).append(note)
    for invoice in documents:
        notes = notes_of.get(invoice.pk, [])
        if not notes:
            continue
        for name in ("net", "tax", "total"):
            gone = -sum((getattr(note, name) for note in notes), NOUGHT)
            if not is_within(gone, getattr(invoice, name)):
                yield f"{invoice.number}: more {name} was credited than it has, {_plain(gone)}."
        quantities = {line.number: line.quantity for line in invoice.lines.all()}
        taken = by_kind(
            (str(line.credit_of_line_id or ""), line.quantity) for note in notes for line in note.lines.all()
        )
        for line in invoice.lines.all():
            if taken.get(str(line.pk), NOUGHT) > quantities[line.number]:
                yield f"{invoice.number}: more of line {line.number} was credited than was billed."


def _agreed(documents: list[Invoice]) -> Iterator[str]:
    known = {document.pk: document for document in documents}
    billed: dict[tuple[int, str], Decimal] = {}
    first: dict[tuple[int, str], Invoice] = {}
    for document in documents:
        origin = known[document.credit_of_id or document.pk]
        if origin.quote_id is None:
            continue
        place = (origin.quote_id, origin.key.partition(":")[0])
        billed[place] = billed.get(place, NOUGHT) + document.total
        first.setdefault(place, origin)
    for place, total in billed.items():
        most = _most(first[place], place[1])
        if most is None:
            yield f"{first[place].number}: it was billed without a yes."
        elif total > most:
            yield f"{first[place].number}: {_plain(total)} was billed, and no more than {_plain(most)} may be."


def _most(invoice: Invoice, origin: str) -> Decimal | None:
    assert invoice.quote is not None
    if origin == "return":
        return told_total(invoice.quote, invoice.why)
    decision: Decision | None = getattr(invoice.quote, "decision", None)
    return None if decision is None else ceiling_of(decision)


def _disputes() -> Iterator[str]:
    rows = Dispute.objects.filter(NOT_WON).values_list("payment_id", "amount")
    held = by_kind((str(payment), amount) for payment, amount in rows)
    for payment in Payment.objects.filter(pk__in=held).select_related("order"):
        if held[str(payment.pk)] > payment.amount:
            yield f"{payment.order.code}: more is in dispute than the payment of {_plain(payment.amount)}."


def _plain(amount: Decimal) -> str:
    return f"{amount.normalize():f}"
