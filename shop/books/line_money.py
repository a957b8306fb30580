"""What orders brought and cost, in smallest units, each from the rows that say it."""

from collections import defaultdict
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db.models import Min, QuerySet

from quotes.models import Dispute, Invoice, Move, Payment, Rates, WriteOff
from quotes.owed import standings
from shop.books.house import finely, smallest_units
from shop.models import Cost

NOUGHT = Decimal(0)


class Money:
    """Twelve queries for any number of orders. `digits`: of each order's own currency, for the shop's may have changed since."""

    def __init__(self, wanted: list[int], digits: Mapping[int, int]) -> None:
        self.digits = digits
        self.sums: dict[str, dict[int, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
        self._parts: set[int] = set()
        self._papers(wanted)
        self._moves(wanted)
        self._disputes()
        self._costs(wanted)
        self._rates = [
            (since.timestamp(), cost)
            for since, cost in Rates.objects.order_by("version").values_list("since", "cost_per_minute")
        ]

    def _add(self, name: str, order: int, amount: Decimal) -> None:
        self.sums[name][order] += amount

    def _papers(self, wanted: list[int]) -> None:
        bills = Invoice.objects.filter(order__in=wanted).order_by()
        for order, net in bills.values_list("order_id", "net"):
            self._add("billed", order, net)
        due = bills.filter(kind=Invoice.Kind.INVOICE).values("order_id").annotate(first=Min("due"))
        self.due = dict(due.values_list("order_id", "first"))
        paid = Payment.objects.filter(order__in=wanted).order_by()
        self._payments: dict[int, int] = {}
        for pk, order, purpose, amount, fee in paid.values_list("pk", "order_id", "purpose", "amount", "fee"):
            self._payments[pk] = order
            self._add("fees", order, fee)
            if purpose == Payment.Purpose.LOSS:
                self._add("losses", order, -amount)
        for order, amount in _amounts(WriteOff.objects.filter(order__in=wanted)):
            self._add("losses", order, amount)
        self.standings = standings(order__in=wanted)

    def _moves(self, wanted: list[int]) -> None:
        moves = Move.objects.filter(order__in=wanted).order_by()
        for order, kind, change, cost in moves.values_list("order_id", "kind", "on_hand_change", "unit_cost"):
            self._parts.add(order)
            if kind in (Move.Kind.CONSUME, Move.Kind.SPOIL):
                self._add("parts" if kind == Move.Kind.CONSUME else "spoiled", order, -change * cost)

    def _disputes(self) -> None:
        rows = Dispute.objects.filter(payment__in=list(self._payments)).order_by()
        for payment, amount, fee, end in rows.values_list("payment_id", "amount", "fee", "end__won"):
            order = self._payments[payment]
            self._add("losses", order, fee)
            if end is None:
                self._add("disputed", order, amount)

    def _costs(self, wanted: list[int]) -> None:
        for order, amount in _amounts(Cost.objects.filter(order__in=wanted)):
            self._add("losses", order, amount)

    def minute_costs(self, order: int, left: int) -> int:
        """What a minute cost the shop when an order left, or costs now (0), in units of `House.cost_per_minute`."""
        known = [cost for since, cost in self._rates if not left or since <= left]
        return finely(known[-1] if known else self._rates[0][1], self.digits[order])

    def took_parts(self, order: int) -> bool:
        """Whether parts were ever put aside or fitted for it."""
        return order in self._parts

    def of(self, order: int, *, post: Decimal | None, declared: Decimal | None) -> dict[str, int]:
        """The fields of a line that hold money."""
        names, digits = ("billed", "parts", "spoiled", "fees", "losses", "disputed"), self.digits[order]
        found = {name: smallest_units(self.sums[name].get(order, NOUGHT), digits) for name in names}
        standing = self.standings.get(order)
        due = self.due.get(order)
        return found | {
            "post": smallest_units(post, digits),
            "declared": smallest_units(declared, digits),
            "balance": smallest_units(standing.balance, digits) if standing else 0,
            "deposit": smallest_units(standing.deposit_held, digits) if standing else 0,
            "due": due.toordinal() if due else 0,
        }


def _amounts(rows: QuerySet[Any]) -> Any:
    return rows.order_by().values_list("order_id", "amount")
