"""What a movement may be for: bills and deposits that are open, and money that was booked by hand and waits for its line."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q

from intake import codes
from intake.models import Order
from intake.money import quantize
from quotes import deposits
from quotes.bank.matching import Line, OpenBill, numbers_in, references_in
from quotes.models import BankLine, Invoice, Payment
from quotes.owed import standings
from quotes.receivables import unsettled_orders

# A payment that was booked by hand stands within so many days of its line.
DAYS_APART = 15


def line_of(row: BankLine) -> Line:
    """The plain values that are matched."""
    return Line(quantize(row.amount, row.statement.currency), row.name, row.reference, row.text)


def open_bills(currency: str, lines: Iterable[Line] = ()) -> list[OpenBill]:
    """Every order that owes, deposits that are asked for, and bills that the lines name though nothing is owed there."""
    named = _named(lines, currency)
    orders = named | set(unsettled_orders(currency))
    found = standings(order__in=orders)
    owed = {pk: quantize(standing.balance, currency) for pk, standing in found.items()}
    rows = _by_order(pk for pk in orders if pk in owed)
    bills = [_bill(invoices, owed[pk]) for pk, invoices in rows.items()]
    wanted = [bill for bill, pk in zip(bills, rows, strict=True) if owed[pk] > 0 or pk in named]
    return sorted([*wanted, *_deposits(currency)])


def _named(lines: Iterable[Line], currency: str) -> set[int]:
    lines = list(lines)
    references = {reference for line in lines for reference in references_in(line)}
    said = [numbers_in(line) for line in lines]
    numbers = {number for documents, _ in said for number in documents}
    orders = {code for _, codes_ in said for code in codes_}
    named = Q(reference__in=references) | Q(number__in=numbers) | Q(order__code__in=orders)
    bills = Invoice.objects.filter(named, currency=currency, kind=Invoice.Kind.INVOICE)
    return set(bills.order_by().values_list("order_id", flat=True))


def _by_order(pks: Iterable[int]) -> dict[int, list[Invoice]]:
    rows: dict[int, list[Invoice]] = {}
    found = Invoice.objects.filter(order__in=list(pks), kind=Invoice.Kind.INVOICE)
    for invoice in found.select_related("order__customer"):
        rows.setdefault(invoice.order_id, []).append(invoice)
    return rows


def _bill(invoices: list[Invoice], owed: Decimal) -> OpenBill:
    order = invoices[0].order
    return OpenBill(
        due=min(invoice.due for invoice in invoices).isoformat(),
        order=order.code,
        purpose="bill",
        owed=owed,
        payer=str(order.customer_id or ""),
        names=tuple(dict.fromkeys([*(invoice.to_name for invoice in invoices), *_customer(order)])),
        numbers=tuple(invoice.number for invoice in invoices),
        references=tuple(
            dict.fromkeys(
                [
                    *(invoice.reference for invoice in invoices if invoice.reference),
                    codes.payment_reference(order.code),
                ]
            )
        ),
    )


def _customer(order: Order) -> list[str]:
    return [order.customer.name] if order.customer else []


def _deposits(currency: str) -> list[OpenBill]:
    asked = Order.objects.filter(
        currency=currency, quotes__deposit__gt=0, quotes__decision__choice="mend", invoices__isnull=True
    )
    bills = []
    for order in asked.distinct().select_related("customer"):
        if missing := deposits.wanted(order):
            bills.append(
                OpenBill(
                    due=order.created_at.date().isoformat(),
                    order=order.code,
                    purpose="deposit",
                    owed=missing,
                    payer="",
                    names=tuple(_customer(order)),
                    references=(codes.payment_reference(order.code),),
                )
            )
    return bills


@dataclass(frozen=True)
class Booked:
    """A payment or refund that was booked by hand and has no line of the bank yet."""

    payment: Payment
    why: str


def booked_by_hand(row: BankLine) -> list[Booked]:
    """Transfers of exactly this sum, without a line of their own, near the day; the nearest first."""
    span = dt.timedelta(days=DAYS_APART)
    found = Payment.objects.filter(
        kind=Payment.Kind.TRANSFER, amount=row.amount, currency=row.statement.currency,
        bank_lines__isnull=True, at__date__gte=row.day - span, at__date__lte=row.day + span,
    ).exclude(key__startswith="bank:").select_related("order__customer")  # fmt: skip
    near = sorted(found, key=lambda payment: (abs((payment.at.date() - row.day).days), payment.pk))
    what = "refund" if row.amount < 0 else "payment"
    return [Booked(payment, f"A {what} of this sum was booked by hand.") for payment in near]
