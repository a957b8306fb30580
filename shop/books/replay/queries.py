"""Reads what a replay needs beside the lines: bills by kind, the quote that was agreed to, parcels and what was lost."""

from collections import defaultdict
from decimal import Decimal
from typing import Any

from django.db.models import F, QuerySet, Sum

from intake.models import Order, Slip
from intake.stations import SlipReason
from quotes.agreed import WORK
from quotes.models import Decision, Invoice, InvoiceLine, Payment, QuoteLine, Rates
from shop.books.house import smallest_units
from shop.books.lines import Books
from shop.books.replay.shapes import AS_IT_WAS, Answer, Extra, More, Priced, Rules
from shop.models import BookLine, Cost

THOUSANDTHS = 1_000


def extra(books: Books, rules: Rules = AS_IT_WAS) -> Extra:
    """What the lines do not hold of the orders that left in the window. Eight queries, however many orders."""
    return Extra(_Sources(books).all(), _thousandths(Rates.current().card_percent), rules)


def remedies(books: Books) -> list[str]:
    """Names of the remedies of orders that left in the window, in order. No query."""
    return sorted({line.remedy for line in books.gone() if line.remedy})


def _thousandths(percent: Decimal) -> int:
    return int((percent * THOUSANDTHS).to_integral_value())


class _Sources:
    """Each of one query over the orders of the window."""

    def __init__(self, books: Books) -> None:
        self.digits = books.house.digits
        left = BookLine.objects.filter(
            currency=books.house.currency, left__gte=books.window.since, left__lt=books.window.until
        )
        self.wanted: QuerySet[Any] = left.order_by().values("order_id")
        self._bills()
        self._answers()
        self._lost()

    def all(self) -> dict[int, More]:
        rows = Order.objects.filter(pk__in=self.wanted).order_by()
        return {
            pk: More(
                labour=tuple(self.billed[pk, "labour"]), post=tuple(self.billed[pk, "post"]),
                gross=self.gross.get(pk, 0), asked=self.asked.get(pk, 0), asked_labour=tuple(self.labour[pk]),
                answers=tuple(self.answers[pk]), limit=-1 if limit is None else self._units(limit),
                posted=sent is not None, lost=self.lost[pk],
            )
            for pk, limit, sent in rows.values_list("pk", "standing_limit", "parcel__sent_at")
        }  # fmt: skip

    def _units(self, amount: Decimal) -> int:
        return smallest_units(amount, self.digits)

    def _bills(self) -> None:
        self.billed: dict[tuple[int, str], list[Priced]] = defaultdict(list)
        lines = InvoiceLine.objects.filter(invoice__order__in=self.wanted, kind__in=["labour", "post"])
        for order, kind, net, percent in lines.order_by("invoice_id", "number").values_list(
            "invoice__order_id", "kind", "net", "tax_percent"
        ):
            self.billed[order, kind].append((self._units(net), _thousandths(percent)))
        bills = Invoice.objects.filter(order__in=self.wanted).order_by().values("order_id")
        sums = bills.annotate(sum=Sum("total")).values_list("order_id", "sum")
        self.gross = {order: self._units(total) for order, total in sums}

    def _answers(self) -> None:
        """The newest quote with a yes is the agreement; what was asked before it took its time all the same."""
        self.answers: dict[int, list[Answer]] = defaultdict(list)
        self.asked: dict[int, int] = {}
        newest: dict[int, int] = {}
        agreed = Decision.objects.filter(quote__order__in=self.wanted, choice__in=WORK, stop__isnull=True)
        for order, quote, sent, at, channel, amount in agreed.order_by("quote__revision").values_list(
            "quote__order_id", "quote_id", "quote__sent_at", "at", "channel", "amount"
        ):
            total, seconds = self._units(amount), max(0, int((at - sent).total_seconds()))
            self.answers[order].append(Answer(total, seconds, channel == Decision.Channel.LIMIT))
            self.asked[order], newest[order] = total, quote
        self._asked_labour(newest)

    def _asked_labour(self, newest: dict[int, int]) -> None:
        self.labour: dict[int, list[Priced]] = defaultdict(list)
        lines = QuoteLine.objects.filter(
            quote__order__in=self.wanted, kind="labour", choice=F("quote__decision__choice"),
            quote__decision__stop__isnull=True,
        )  # fmt: skip
        for order, quote, extra_name, taken, net, percent in lines.order_by("quote_id", "number").values_list(
            "quote__order_id", "quote_id", "extra", "quote__decision__extras", "net", "tax_percent"
        ):
            if newest.get(order) == quote and (not extra_name or extra_name in taken):
                self.labour[order].append((self._units(net), _thousandths(percent)))

    def _lost(self) -> None:
        """What an order cost, and what was paid back on it, after its parcel was sent and got lost."""
        self.lost: dict[int, int] = defaultdict(int)
        lost = Slip.objects.filter(reason=SlipReason.LOST, order__in=self.wanted).values("order_id")
        after = {"order__in": lost, "at__gte": F("order__parcel__sent_at")}
        for order, amount in Cost.objects.filter(**after).values_list("order_id", "amount"):
            self.lost[order] += self._units(amount)
        made_good = Payment.objects.filter(**after, purpose=Payment.Purpose.LOSS)
        for order, amount in made_good.values_list("order_id", "amount"):
            self.lost[order] -= self._units(amount)
