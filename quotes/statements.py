"""Statements of trade customers: what was owed at a month's beginning, what came and went, what is owed at its end.

A statement is written once, numbered and frozen; the same month again is the same row. Interest is only proposed to the
owner, and stands on the paper only where they say so, never in the sum.
"""

import datetime as dt
import zoneinfo
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from intake import history, letters
from intake.history import in_turn
from intake.models import Customer, Letterhead, Person
from intake.money import quantize
from quotes import numbers
from quotes.models import Invoice, Posting, Rates, Statement, TradeAccount
from quotes.receivables import OWED, bills_left
from quotes.refusals import Refused
from quotes.statement_maths import (
    Interest,
    OpenBill,
    ageing,
    late_sum,
    month_before,
    month_end,
    month_start,
    next_month,
    proposal,
)
from quotes.trade_accounts import account_of

NOUGHT = Decimal(0)
# What a line is called, by what was booked: grows what is owed, shrinks it.
WORDS = {
    "invoice": ("Invoice", "Invoice"),
    "credit": ("Credit note", "Credit note"),
    "write-off": ("Written off", "Written off"),
    "dispute": ("Payment taken back by the bank", "Payment the bank gave back"),
    "": ("Paid back", "Payment"),
}


@dataclass(frozen=True)
class Line:
    """One document or payment of the month."""

    day: dt.date
    text: str
    document: str
    order: str
    amount: Decimal


@dataclass(frozen=True)
class Sheet:
    """A statement before it is written: sums in `currency`, days on the shop's calendar.

    `earlier`: booked on days before the month, after the statement before was written. `interest` is the owner's to see.
    """

    customer: Customer
    month: dt.date
    currency: str
    opening: Decimal
    lines: tuple[Line, ...]
    closing: Decimal
    bills: tuple[OpenBill, ...]
    earlier: Decimal = NOUGHT
    interest: tuple[Interest, ...] = ()
    interest_sum: Decimal = NOUGHT
    interest_percent: Decimal = NOUGHT
    other_currencies: tuple[str, ...] = field(default=())

    @property
    def until(self) -> dt.date:
        return month_end(self.month)

    @property
    def ages(self) -> dict[str, Decimal]:
        return ageing(self.bills, on=self.until)

    @property
    def late(self) -> Decimal:
        return late_sum(self.bills, on=self.until)

    @property
    def is_empty(self) -> bool:
        return not (self.lines or self.opening or self.closing or self.earlier)


def sheet_of(customer: Customer, month: dt.date) -> Sheet:
    """The statement of a month as the books have it now; writes nothing."""
    head, month = Letterhead.current(), month_start(month)
    until = month_end(month)
    rows = Posting.objects.filter(account__in=OWED, entry__order__customer=customer, entry__day__lte=until)
    mine = rows.filter(entry__currency=head.currency)
    before = _sum(mine.filter(entry__day__lt=month))
    lines = tuple(_lines(mine.filter(entry__day__gte=month)))
    known = Statement.objects.filter(account__customer=customer, month=month_before(month)).first()
    opening = known.total if known is not None and known.currency == head.currency else before
    bills = tuple(bills_left(currency=head.currency, customer=customer, upto=until))
    percent = Rates.current().interest_percent
    interest, total = proposal(bills, on=until, percent=percent, currency=head.currency)
    others = rows.exclude(entry__currency=head.currency).order_by().values_list("entry__currency", flat=True)
    return Sheet(
        customer=customer,
        month=month,
        currency=head.currency,
        opening=quantize(opening, head.currency),
        lines=lines,
        closing=quantize(before + sum((line.amount for line in lines), NOUGHT), head.currency),
        bills=bills,
        earlier=quantize(before - opening, head.currency),
        interest=tuple(interest),
        interest_sum=total,
        interest_percent=percent,
        other_currencies=tuple(sorted(set(others))),
    )


def _sum(rows: Any) -> Decimal:
    return sum(rows.values_list("amount", flat=True), NOUGHT)


def _lines(rows: Any) -> list[Line]:
    """One line an entry; an invoice with its deposit set off is one amount."""
    found: dict[int, Line] = {}
    for row in rows.select_related("entry__order").order_by("entry__number", "pk"):
        entry = row.entry
        amount = row.amount + (found[entry.pk].amount if entry.pk in found else NOUGHT)
        code = entry.order.code if entry.order else ""
        found[entry.pk] = Line(entry.day, _words(entry.what, amount), entry.document, code, amount)
    return [line for line in found.values() if line.amount]


def _words(what: str, amount: Decimal) -> str:
    kind = next((name for name in WORDS if name and what.startswith(name)), "")
    return WORDS[kind][0 if amount > 0 else 1]


def why_not_yet(sheet: Sheet, *, at: dt.datetime) -> str:
    """Why this statement cannot be written, in a sentence; "" when it can."""
    zone = zoneinfo.ZoneInfo(Letterhead.current().zone)
    if at.astimezone(zone).date() <= sheet.until:
        return "The month is not over. A statement is written when it is."
    if sheet.is_empty:
        return "Nothing was owed and nothing moved in that month. There is nothing to state."
    return ""


@in_turn
def send_statement(
    *, customer: Customer, month: dt.date, say_interest: bool = False, by: Person, at: dt.datetime
) -> Statement:
    """Write the statement of a month, with its paper and its letter; the same month again gives the row that is there.

    Raises Refused for anybody but the owner, a consumer, a month that is not over, or one with nothing to state.
    """
    if not by.is_owner:
        raise Refused("Only the owner sends statements.")
    if not customer.trade:
        raise Refused("Statements are for customers of the trade.")
    known = Statement.objects.filter(account__customer=customer, month=month_start(month)).first()
    if known is not None:
        return known
    sheet = sheet_of(customer, month)
    if sentence := why_not_yet(sheet, at=at):
        raise Refused(sentence, field="month")
    statement = _write(sheet, account_of(customer=customer, by=by, at=at), say_interest, by, at)
    _tell(statement, customer, by, at)
    return statement


def _write(sheet: Sheet, account: TradeAccount, say_interest: bool, by: Person, at: dt.datetime) -> Statement:
    number = numbers.next_number("statement")
    return Statement.objects.create(
        number=number,
        account=account,
        month=sheet.month,
        letterhead=Letterhead.current(),
        currency=sheet.currency,
        total=sheet.closing,
        shown=shown(sheet, account, number=number, say_interest=say_interest),
        at=at,
        by=by,
    )


def plain_account(customer: Customer) -> TradeAccount:
    """The account of a customer, or for a preview one with the usual terms that is written nowhere."""
    return TradeAccount.objects.filter(customer=customer).first() or TradeAccount(customer=customer)


def shown(sheet: Sheet, account: TradeAccount, *, number: str, say_interest: bool) -> dict[str, Any]:
    """Everything the paper says, as text and numbers that never change."""
    said = say_interest and bool(sheet.interest)
    return {
        "number": number,
        "to": address_of(sheet.customer),
        "tax_number": account.tax_number,
        "from": sheet.month.isoformat(),
        "until": sheet.until.isoformat(),
        "opening": str(sheet.opening),
        "earlier": str(sheet.earlier),
        "lines": [
            {
                "day": line.day.isoformat(),
                "text": line.text,
                "document": line.document,
                "order": line.order,
                "amount": str(quantize(line.amount, sheet.currency)),
            }
            for line in sheet.lines
        ],
        "closing": str(sheet.closing),
        "ages": {name: str(quantize(amount, sheet.currency)) for name, amount in sheet.ages.items()},
        "late": str(quantize(sheet.late, sheet.currency)),
        "bills": [
            {
                "number": bill.number,
                "day": bill.day.isoformat(),
                "due": bill.due.isoformat(),
                "left": str(quantize(bill.left, sheet.currency)),
            }
            for bill in sheet.bills
        ],
        "interest": {"percent": str(sheet.interest_percent), "sum": str(sheet.interest_sum)}
        if said
        else None,
    }


def address_of(customer: Customer) -> list[str]:
    """The name and address as their newest bill has it; the name alone where there is none."""
    newest = Invoice.objects.filter(order__customer=customer).order_by("-issued_at", "-pk").first()
    lines = [str(line) for line in newest.to_lines] if newest is not None else []
    return lines or [customer.name]


def _tell(statement: Statement, customer: Customer, by: Person, at: dt.datetime) -> None:
    paper = letters.paper(
        order=None,
        maker="statement",
        ref=statement.pk,
        title=f"Statement {statement.number}",
        file_name=f"{statement.number}.pdf",
        at=at,
        letterhead=statement.letterhead,
    )
    letters.post(
        order=None,
        kind="statement",
        key=f"statement:{statement.pk}",
        to=customer.email,
        context={
            "statement": statement,
            "customer": customer,
            "until": month_end(statement.month),
            "owed_back": -statement.total,
        },
        at=at,
        papers=[paper],
        with_link=False,
    )
    history.record(
        order=None,
        what="statement",
        by=by.username,
        at=at,
        facts={
            "number": statement.number,
            "customer": customer.pk,
            "total": str(statement.total),
            "currency": statement.currency,
        },
    )


def months_of(customer: Customer, *, at: dt.datetime, most: int = 24) -> list[dt.date]:
    """Months with something booked, the newest first, that are over."""
    zone = zoneinfo.ZoneInfo(Letterhead.current().zone)
    running = month_start(at.astimezone(zone).date())
    first = (
        Posting.objects.filter(account__in=OWED, entry__order__customer=customer)
        .order_by("entry__day")
        .values_list("entry__day", flat=True)
        .first()
    )
    if first is None:
        return []
    months, month = [], month_start(first)
    while month < running:
        months.append(month)
        month = next_month(month)
    return months[::-1][:most]
