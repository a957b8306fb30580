"""What customers owe, read from the journal: for lists, statements and the ages of bills."""

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal

from django.db.models import F, Q, QuerySet, Sum

from intake.models import Customer
from quotes.models import Account, Invoice, Posting
from quotes.statement_maths import Movement, OpenBill, open_bills

# A payment in dispute counts as not paid: what is held stands with what is owed.
OWED = (Account.RECEIVABLE, Account.HELD)
Row = tuple[int, str, str, dt.date, Decimal]


def owed_postings(currency: str) -> QuerySet[Posting]:
    """Every posting that changes what is owed on an order, in one currency."""
    return Posting.objects.filter(account__in=OWED, entry__currency=currency, entry__order__isnull=False)


def movements(postings: QuerySet[Posting]) -> list[Movement]:
    """The postings as movements, one an entry, with the due days of the invoices among them."""
    rows = _entries(postings)
    bills = _invoices(rows)
    return [_movement(order, document, day, amount, bills) for order, _, document, day, amount in rows]


def _entries(postings: QuerySet[Posting]) -> list[Row]:
    """One row an entry: order, what, document, day, amount. Added here: SQLite would add in floating point."""
    found: dict[int, Row] = {}
    columns = postings.order_by("entry__number").values_list(
        "entry_id", "entry__order_id", "entry__what", "entry__document", "entry__day", "amount"
    )
    for entry, order, what, document, day, amount in columns:
        known = found[entry][-1] if entry in found else Decimal(0)
        found[entry] = (order, what, document, day, known + amount)
    return [row for row in found.values() if row[-1]]


def _invoices(rows: Iterable[Row]) -> dict[str, Invoice]:
    numbers = {document for _, _, document, _, _ in rows if document}
    found = Invoice.objects.filter(number__in=numbers).select_related("credit_of")
    return {invoice.number: invoice for invoice in found}


def _movement(
    order: int, document: str, day: dt.date, amount: Decimal, bills: dict[str, Invoice]
) -> Movement:
    invoice = bills.get(document)
    if invoice is None or (invoice.kind == Invoice.Kind.INVOICE and amount < 0):
        return Movement(order, "", day, amount)
    if invoice.credit_of is not None:
        return Movement(order, "", day, amount, settles=invoice.credit_of.number)
    return Movement(order, invoice.number, day, amount, due=invoice.due)


def unsettled_orders(currency: str, *, upto: dt.date | None = None) -> list[int]:
    """Orders on which something is owed or is to be paid back, today or at the end of a day."""
    rows = owed_postings(currency)
    if upto is not None:
        rows = rows.filter(entry__day__lte=upto)
    sums = rows.order_by().values("entry__order").annotate(sum=Sum("amount"))
    # The database's sum only sorts out what is plainly settled; exact sums are made from the rows.
    return list(sums.exclude(sum=0).values_list("entry__order", flat=True))


def bills_left(
    *, currency: str, customer: Customer | None = None, upto: dt.date | None = None
) -> list[OpenBill]:
    """What is left of each bill, oldest first: of all customers or one, now or at the end of a day."""
    rows = owed_postings(currency)
    if upto is not None:
        rows = rows.filter(entry__day__lte=upto)
    if customer is not None:
        rows = rows.filter(entry__order__customer=customer)
    else:
        rows = rows.filter(entry__order__in=unsettled_orders(currency, upto=upto))
    return open_bills(movements(rows))


def deposits_held(currency: str) -> Decimal:
    """Deposits that were not set off yet: the customers' own money."""
    rows = Posting.objects.filter(account=Account.DEPOSITS, entry__currency=currency)
    return -sum(rows.values_list("amount", flat=True), Decimal(0))


def held_in_disputes(currency: str) -> Decimal:
    """Payments that the payers' banks took back for now."""
    rows = Posting.objects.filter(account=Account.HELD, entry__currency=currency)
    return sum(rows.values_list("amount", flat=True), Decimal(0))


def of_trade(currency: str) -> dict[int, list[OpenBill]]:
    """What is left of the bills of each trade customer, by the customer's key."""
    rows = owed_postings(currency).filter(Q(entry__order__customer__trade=True))
    owners = dict(rows.order_by().values_list("entry__order_id", F("entry__order__customer_id")).distinct())
    found: dict[int, list[OpenBill]] = {}
    for bill in open_bills(movements(rows.filter(entry__order__in=unsettled_orders(currency)))):
        found.setdefault(owners[bill.order], []).append(bill)
    return found
