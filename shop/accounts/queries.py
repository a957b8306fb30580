"""What the pages of the accounts show, read from the books."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Count, Q, QuerySet

from intake.models import Customer
from quotes import receivables
from quotes.models import BankLine, Closing, Dispute, Invoice
from quotes.statement_maths import AGES, NOUGHT, OpenBill, age_of

FILTERS = {
    "all": "All",
    "open": "Open",
    "late": "Late",
    "credited": "Credited",
    "notes": "Credit notes",
}


@dataclass(frozen=True)
class Age:
    """One row of what is owed by age."""

    name: str
    bills: int
    sum: Decimal


@dataclass(frozen=True)
class Owed:
    """What is owed of some bills: by age, together, of it late, and what is to be paid back."""

    ages: tuple[Age, ...]
    total: Decimal
    late: Decimal
    back: Decimal
    oldest: int

    @property
    def net(self) -> Decimal:
        return self.total - self.back


def owed(bills: list[OpenBill], *, on: dt.date) -> Owed:
    """Bills by age as of a day; money to pay back is told apart."""
    open_ = [bill for bill in bills if bill.left > 0]
    ages = []
    for name in AGES:
        rows = [bill for bill in open_ if age_of(bill.days_old(on)) == name]
        ages.append(Age(name, len(rows), sum((bill.left for bill in rows), NOUGHT)))
    return Owed(
        ages=tuple(ages),
        total=sum((bill.left for bill in open_), NOUGHT),
        late=sum((bill.left for bill in open_ if bill.days_late(on)), NOUGHT),
        back=-sum((bill.left for bill in bills if bill.left < 0), NOUGHT),
        oldest=max((bill.days_old(on) for bill in open_), default=0),
    )


def overview(*, currency: str, on: dt.date) -> dict[str, Any]:
    """Keys: owed, deposits, held, disputes, unmatched, bank_lines, closing, currency."""
    disputes = Dispute.objects.filter(end__isnull=True).select_related("payment__order__customer")
    return {
        "currency": currency,
        "owed": owed(receivables.bills_left(currency=currency), on=on),
        "deposits": receivables.deposits_held(currency),
        "held": receivables.held_in_disputes(currency),
        "disputes": list(disputes.order_by("answer_by", "at")),
        "bank_lines": BankLine.objects.exists(),
        "unmatched": BankLine.objects.filter(match__isnull=True).count(),
        "closing": Closing.objects.order_by("upto").last(),
    }


def invoices(
    *, show: str, words: str, currency: str, on: dt.date
) -> tuple[QuerySet[Invoice], dict[str, Decimal]]:
    """The invoices and credit notes of a filter and a search, the newest first, and what is left by number."""
    bills = [bill for bill in receivables.bills_left(currency=currency) if bill.number and bill.left > 0]
    left = {bill.number: bill.left for bill in bills}
    rows = Invoice.objects.select_related("order", "credit_of").order_by("-issued_at", "-pk")
    if show == "open":
        rows = rows.filter(number__in=left)
    elif show == "late":
        rows = rows.filter(number__in=[bill.number for bill in bills if bill.days_late(on)])
    elif show == "credited":
        rows = rows.filter(kind=Invoice.Kind.INVOICE, credits__isnull=False).distinct()
    elif show == "notes":
        rows = rows.filter(kind=Invoice.Kind.CREDIT)
    if words:
        rows = rows.filter(
            Q(number__icontains=words) | Q(to_name__icontains=words) | Q(order__code__iexact=words)
        )
    return rows, left


def trade_customers(*, currency: str, on: dt.date) -> list[dict[str, Any]]:
    """Every customer of the trade with their account, and what they owe. Keys: customer, account, owed."""
    bills = receivables.of_trade(currency)
    rows = Customer.objects.filter(trade=True).select_related("trade_account__tier").order_by("name", "pk")
    return [
        {
            "customer": row,
            "account": getattr(row, "trade_account", None),
            "owed": owed(bills.get(row.pk, []), on=on),
        }
        for row in rows
    ]


def consumers(words: str, *, most: int = 30) -> list[Customer]:
    """Customers who are not of the trade, by name or e-mail, those with most orders first."""
    if not words:
        return []
    rows = Customer.objects.filter(Q(name__icontains=words) | Q(email__icontains=words), trade=False)
    return list(rows.annotate(sent=Count("orders")).order_by("-sent", "name")[:most])
