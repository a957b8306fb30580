"""What is billed: the agreed quote line for line, or what was told to be owed when nothing was mended.

An invoice comes only after a signed test or a no fix, never exceeds what was agreed (or what the shop's overrun rule allows
on top of it), and is never changed: what is wrong is put right by a credit note (`quotes.credits`).
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from intake import letters
from intake.history import in_turn
from intake.models import Order, Person
from quotes.agreed import agreed_lines, agreed_quote, fee_told
from quotes.ceilings import ceiling_of, told_total
from quotes.credits import credit, is_credited_whole
from quotes.issuing import groups_as_text, issue, papers_of
from quotes.lowering import priced_within
from quotes.models import BillAddition, Decision, Invoice, Quote, QuoteLine, Rates
from quotes.numbers import next_number
from quotes.owed import balance, deposit_held, to_pay_back
from quotes.policies import policy_for
from quotes.pricing import KINDS, LineInput, Priced, PricingError, price
from quotes.refusals import Refused

__all__ = [
    "RECYCLED", "add_to_bill", "balance", "bill_again", "bill_agreed", "bill_return", "credit", "deposit_held",
    "groups_as_text", "next_number", "papers_of",
]  # fmt: skip

RECYCLED = "recycled"


def bill_agreed(*, order: Order, quote: Quote, by: Person, at: dt.datetime) -> Invoice | None:
    """Invoice what was agreed on a quote, line for line, with what was added within the overrun.

    The same quote again returns its invoice. Raises Refused for one cent more than was agreed or may be added.
    """
    return _bill_agreed(order, quote, key=f"agreed:{quote.pk}", by=by, at=at)


def bill_return(
    *, order: Order, rates: Rates, by: Person, at: dt.datetime, why: str, quote: Quote | None = None
) -> Invoice | None:
    """Invoice what was said before to be owed when nothing was mended: return post, a fee if told, and after a
    repair that failed the lines that the quote said are owed all the same. Nothing is posted of what is recycled."""
    return _bill_return(order, rates, quote, key=f"return:{order.pk}", by=by, at=at, why=why)


@in_turn
def bill_again(*, order: Order, by: Person, at: dt.datetime) -> Invoice | None:
    """A fresh invoice in place of one that was credited whole, with the address and the terms of today, at the agreed
    prices. Raises Refused while there is an invoice that stands."""
    bills = list(order.invoices.filter(kind=Invoice.Kind.INVOICE).order_by("id"))
    if not bills:
        raise Refused("Nothing was billed on this order yet.")
    standing = [bill.number for bill in bills if not is_credited_whole(bill)]
    if standing:
        raise Refused(f"{', '.join(standing)} still stands. Credit it whole first.")
    last = bills[-1]
    key = f"{last.key.partition('#')[0]}#{len(bills) + 1}"
    if last.quote is not None and last.key.startswith("agreed:"):
        invoice = _bill_agreed(order, last.quote, key=key, by=by, at=at)
    else:
        rates = last.rates or Rates.current()
        invoice = _bill_return(order, rates, last.quote, key=key, by=by, at=at, why=last.why)
    if invoice is not None:
        _tell_again(invoice, last, at)
    return invoice


def _tell_again(invoice: Invoice, before: Invoice, at: dt.datetime) -> None:
    owed = balance(invoice.order)
    letters.tell(
        invoice.order,
        kind="billed_again",
        ref=invoice.pk,
        at=at,
        papers=papers_of(invoice),
        invoice=invoice,
        before=before,
        owed=owed,
        back=to_pay_back(invoice.order),
    )


@in_turn
def add_to_bill(
    *,
    order: Order,
    kind: str,
    text: str,
    quantity: Decimal,
    unit_price: Decimal,
    key: str,
    by: Person,
    at: dt.datetime,
) -> BillAddition:
    """Put a line on the coming bill, on top of the agreed quote. The same key adds once.

    Raises Refused where the shop's rule allows nothing on top, one cent above what it allows, and once it is billed.
    """
    known = BillAddition.objects.filter(key=key).first()
    if known is not None:
        return known
    quote = agreed_quote(order)
    if quote is None:
        raise Refused("Nothing is agreed on this order yet.")
    if order.invoices.filter(kind=Invoice.Kind.INVOICE).exists():
        raise Refused("It is billed already. A further job needs a quote of its own.")
    _check_addition(kind, text, quantity, unit_price)
    row = BillAddition(
        key=key, order=order, quote=quote, kind=kind, text=text.strip()[:200], quantity=quantity,
        unit_price=unit_price, at=at, by=by,
    )  # fmt: skip
    before = list(order.bill_additions.filter(quote=quote))
    _price_agreed(order, quote, [*before, row], field="unit_price")
    row.save(force_insert=True)
    return row


def _check_addition(kind: str, text: str, quantity: Decimal, unit_price: Decimal) -> None:
    if kind not in KINDS:
        raise Refused("Say what kind of line it is.", field="kind")
    if not text.strip():
        raise Refused("Say what it is for; the customer reads it.", field="text")
    if quantity <= 0:
        raise Refused("The quantity must be more than nought.", field="quantity")
    if unit_price <= 0:
        raise Refused("Say what one of them costs: more than nought.", field="unit_price")


@in_turn
def _bill_agreed(order: Order, quote: Quote, *, key: str, by: Person, at: dt.datetime) -> Invoice | None:
    known = Invoice.objects.filter(key=key).first()
    if known is not None:
        return known
    priced = _price_agreed(order, quote, list(order.bill_additions.filter(quote=quote)), field="")
    return issue(order, priced, quote=quote, rates=quote.rates, key=key, by=by, at=at, why="")


def _price_agreed(order: Order, quote: Quote, added: Sequence[BillAddition], *, field: str) -> Priced:
    """The agreed lines and what comes on top, priced; refuses one cent above the ceiling."""
    decision = quote.decision
    lines = [as_quoted(line) for line in agreed_lines(decision)]
    more = [LineInput(row.kind, row.text, row.quantity, row.unit_price, Decimal(0)) for row in added]
    priced = _priced([*lines, *more], order, quote.rates, frozen=not more)
    most = ceiling_of(decision, added=bool(more))
    if priced.total > most:
        raise Refused(
            f"The bill of {priced.total} would be above the {most} that may be billed without a new yes."
            if more
            else f"The bill of {priced.total} would be above the agreed {most}.",
            field=field,
        )
    return priced


def _priced(
    lines: Sequence[LineInput], order: Order, rates: Rates, *, frozen: bool, most: Decimal | None = None
) -> Priced:
    """`frozen`: every line brings the tax it was quoted with, so that no rule is asked anew. `most`: what was told."""
    policy = policy_for(order, rates, minimum=False)
    policy = replace(policy, tax_profile=None) if frozen else policy
    try:
        return price(lines, policy) if most is None else priced_within(lines, policy, most)
    except PricingError as fault:
        raise Refused(str(fault)) from fault


@in_turn
def _bill_return(
    order: Order, rates: Rates, quote: Quote | None, *, key: str, by: Person, at: dt.datetime, why: str
) -> Invoice | None:
    known = Invoice.objects.filter(key=key).first()
    if known is not None:
        return known
    lines = _told_before(order, rates, quote, why)
    if not lines:
        return None
    told = None if quote is None else told_total(quote, why)
    priced = _priced(lines, order, rates, frozen=False, most=told)
    if told is not None and priced.total > told:
        raise Refused(f"The bill of {priced.total} would be above the {told} that was told before.")
    return issue(order, priced, quote=quote, rates=rates, key=key, by=by, at=at, why=why)


def _told_before(order: Order, rates: Rates, quote: Quote | None, why: str) -> list[LineInput]:
    quoted = _quoted(quote)
    lines = [] if why == RECYCLED else _post_home(order, rates, quoted)
    if why == "no fix" and quote is not None:
        # Of extras nobody was told that they are owed when the work fails: the sum that was shown is without them.
        still = [line for line in _still_charged(quote, quoted) if line.kind != "post" and not line.extra]
        owed = [as_quoted(line) for line in still]
        lines = owed + lines
    fee = rates.declined_fee if quote is None else fee_told(quote)
    if why in ("declined", RECYCLED) and fee:
        lines.append(LineInput("fee", "Diagnosis", unit_price=fee, tax_kind="diagnosis"))
    return [line for line in lines if line.unit_price]


def _quoted(quote: Quote | None) -> list[QuoteLine]:
    """The lines of the choice that was taken; of 'mend' where nothing was agreed."""
    if quote is None:
        return []
    decision = Decision.objects.filter(quote=quote).first()
    agreed = agreed_lines(decision) if decision is not None else []
    return agreed or list(quote.lines.filter(choice="mend", extra=""))


def _still_charged(quote: Quote, quoted: list[QuoteLine]) -> list[QuoteLine]:
    """Quotes from before choices kept it only in what was shown."""
    if quote.choices.exists():
        return [line for line in quoted if line.still_charged]
    shown = zip(quoted, quote.shown["lines"], strict=True)
    return [line for line, told in shown if told.get("still_charged")]


def _post_home(order: Order, rates: Rates, quoted: list[QuoteLine]) -> list[LineInput]:
    post = [as_quoted(line) for line in quoted if line.kind == "post"]
    if post:
        return post
    home = policy_for(order, rates, minimum=False).return_post_price
    return [LineInput("post", "Return post", unit_price=home)]


def as_quoted(line: QuoteLine) -> LineInput:
    """A quoted line with its price and tax as they were agreed."""
    return LineInput(
        kind=line.kind,
        text=line.text,
        quantity=line.quantity,
        unit_price=line.unit_price,
        unit_cost=Decimal(0),
        per=line.per,
        allowance=line.allowance,
        charge=line.charge,
        tax_percent=line.tax_percent,
        tax_category=line.tax_category,
        tax_reason=line.tax_reason,
    )
