"""Reads what the books add up, in a number of queries that does not grow with the orders."""

import datetime as dt
import zoneinfo
from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.db.models import F, Min, OuterRef, Q, QuerySet, Subquery, Sum

from intake.models import Letterhead, Order, Slip, StationLine
from intake.money import quantize
from intake.stations import SlipReason, Station
from quotes.models import Dispute, Invoice, Move, Payment, Quote, Rates
from quotes.owed import standings
from shop.books.margin_maths import Minutes, OrderMoney
from shop.books.old_periods import Period
from shop.books.sheet_facts import Gathered, Hold, House, OrderFacts, Owed, QuoteFacts, Visit
from shop.models import ComebackCause, Cost, WorkSession

NOUGHT = Decimal(0)
ACCEPTED = {"mend", "data", "clean", "first"}
# The lines of the choice that was taken, extras apart: they are a list no query of both engines can look into.
TAKEN = Q(lines__extra="") & (
    Q(lines__choice=F("decision__choice")) | Q(lines__choice="mend", decision__choice="first")
)


def house() -> House:
    """Two queries. Raises DoesNotExist before the shop is set up."""
    head = Letterhead.current()
    return House(head.currency, zoneinfo.ZoneInfo(head.zone), Rates.current().cost_per_minute)


def gather(period: Period) -> Gathered:
    """Everything a page of the books needs. Seventeen queries, however many orders there are."""
    shop = house()
    quoted = quotes()
    return Gathered(
        shop=shop,
        at=period.at,
        since=period.since,
        orders=tuple(facts(period, shop, quoted)),
        quotes=tuple(quoted.values()),
        owed=tuple(owed(currency=shop.currency)),
        foreign=other_currencies(period, currency=shop.currency),
    )


def arrived(period: Period, *, currency: str) -> QuerySet[Order]:
    """Orders that arrived in the period."""
    rows = Order.objects.filter(arrived_at__lte=period.at, currency=currency)
    return rows if period.since is None else rows.filter(arrived_at__gte=period.since)


def other_currencies(period: Period, *, currency: str) -> int:
    """Orders of the period in another currency: they cannot be added up with the rest."""
    rows = Order.objects.filter(arrived_at__lte=period.at).exclude(currency=currency)
    return (rows if period.since is None else rows.filter(arrived_at__gte=period.since)).count()


def facts(period: Period, shop: House, quoted: dict[int, QuoteFacts]) -> list[OrderFacts]:
    """Every order that arrived in the period, the latest first. Eight queries."""
    rows = arrived(period, currency=shop.currency).select_related("device", "customer", "parcel")
    causes = ComebackCause.objects.filter(order=OuterRef("pk")).order_by("-at", "-id")
    rows = rows.annotate(cause=Subquery(causes.values("cause")[:1]))
    wanted = arrived(period, currency=shop.currency).order_by().values("pk")
    money = _Money(wanted)
    visits, holds = _visits(wanted), _holds(wanted)
    return [
        _facts(order, shop, money, quoted.get(order.pk), visits[order.pk], holds[order.pk])
        for order in rows.order_by("-arrived_at", "-pk")
    ]


class _Money:
    """Sums by order, each of one query."""

    def __init__(self, wanted: QuerySet[Any]) -> None:
        self.net = _sums(Invoice.objects.filter(order__in=wanted), "net")
        self.fees: dict[int, Decimal] = defaultdict(Decimal)
        self.costs: dict[int, list[tuple[str, Decimal]]] = defaultdict(list)
        paid = Payment.objects.filter(order__in=wanted).order_by("id")
        for order, purpose, amount, fee, note in paid.values_list(
            "order_id", "purpose", "amount", "fee", "note"
        ):
            self.fees[order] += fee
            if purpose == Payment.Purpose.LOSS:
                self.costs[order].append((f"Made good: {note}", -amount))
        self.parts: dict[int, Decimal] = defaultdict(Decimal)
        moves = Move.objects.filter(order__in=wanted, kind__in=["consume", "spoil"]).order_by()
        for order, change, cost in moves.values_list("order_id", "on_hand_change", "unit_cost"):
            self.parts[order] -= change * cost
        for order, what, amount in Cost.objects.filter(order__in=wanted).values_list(
            "order_id", "what", "amount"
        ):
            self.costs[order].append((what, amount))
        for order, fee in Dispute.objects.filter(payment__order__in=wanted, fee__gt=0).values_list(
            "payment__order_id", "fee"
        ):
            self.costs[order].append(("Fee of a disputed payment", fee))
        self.minutes: dict[int, dict[str, int]] = defaultdict(dict)
        work = WorkSession.objects.filter(order__in=wanted).order_by().values("order_id", "kind")
        for row in work.annotate(spent=Sum("minutes")):
            self.minutes[row["order_id"]][row["kind"]] = row["spent"]


def _sums(rows: QuerySet[Any], name: str) -> dict[int, Decimal]:
    return dict(rows.order_by().values("order_id").annotate(sum=Sum(name)).values_list("order_id", "sum"))


def _facts(
    order: Order, shop: House, money: _Money, quote: QuoteFacts | None, visits: list[Visit], holds: list[Hold]
) -> OrderFacts:
    left = order.sent_at or order.closed_at
    spent = money.minutes.get(order.pk, {})
    minutes = Minutes(
        spent.get("look", 0), spent.get("repair", 0), spent.get("test", 0), spent.get("talk", 0)
    )
    costs = money.costs.get(order.pk, [])
    parcel = getattr(order, "parcel", None)
    return OrderFacts(
        pk=order.pk,
        code=order.code,
        what=order.device.what,
        customer=order.customer.name if order.customer else "",
        arrived=order.arrived_at or order.created_at,
        left=left,
        station=order.at_station,
        outcome=order.outcome,
        comeback=order.comeback_of_id is not None,
        cause=order.cause or "",  # type: ignore[attr-defined]  # annotated in facts
        promise=order.first_promise,
        left_day=left.astimezone(shop.zone).date() if left else None,
        money=OrderMoney(
            billed_net=money.net.get(order.pk, NOUGHT),
            parts_cost=money.parts.get(order.pk, NOUGHT),
            post_cost=parcel.cost if parcel else NOUGHT,
            payment_fees=money.fees.get(order.pk, NOUGHT),
            other_cost=sum((amount for _, amount in costs), NOUGHT),
            minutes=minutes.all,
        ),
        minutes=minutes,
        answer=quote.answer if quote else "",
        quoted_minutes=quote.minutes if quote else 0,
        cost_words=tuple(what for what, _ in costs),
        visits=tuple(visits),
        holds=tuple(holds),
    )


def _visits(wanted: QuerySet[Any]) -> dict[int, list[Visit]]:
    found: dict[int, list[Visit]] = defaultdict(list)
    lines = StationLine.objects.filter(order__in=wanted).order_by("opened_at", "station", "id")
    for order, station, since, until in lines.values_list("order_id", "station", "opened_at", "signed_at"):
        found[order].append(Visit(Station(station), since, until))
    return found


def _holds(wanted: QuerySet[Any]) -> dict[int, list[Hold]]:
    found: dict[int, list[Hold]] = defaultdict(list)
    slips = Slip.objects.filter(order__in=wanted)
    for order, reason, since, until in slips.values_list("order_id", "reason", "started_at", "ended_at"):
        found[order].append(Hold(SlipReason(reason), since, until))
    return found


def quotes() -> dict[int, QuoteFacts]:
    """By order, how its quotes stand. One query, over all time: an old quote may have been answered yesterday."""
    rows = (
        Quote.objects.order_by("order_id", "revision")
        .annotate(bench=Sum("lines__minutes", filter=TAKEN))
        .values_list(
            "order_id", "sent_at", "end__why", "decision__choice", "decision__stop__at", "bench",
            "order__comeback_of_id",
        )
    )  # fmt: skip
    by_order: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for order, *rest in rows:
        by_order[order].append(tuple(rest))
    return {order: _how_it_stands(order, rest) for order, rest in by_order.items()}


def _how_it_stands(order: int, rows: list[tuple[Any, ...]]) -> QuoteFacts:
    answers = [(_answer(why, choice, stopped), bench or 0) for _, why, choice, stopped, bench, _ in rows]
    known = [answer for answer, _ in answers if answer]
    agreed = [bench for answer, bench in answers if answer == "accepted"]
    return QuoteFacts(
        order, rows[0][0], known[-1] if known else "", agreed[-1] if agreed else 0, rows[0][5] is not None
    )


def _answer(why: str | None, choice: str | None, stopped: dt.datetime | None) -> str:
    """'' for a quote that was replaced or taken back before it was answered."""
    if choice:
        return "accepted" if choice in ACCEPTED and stopped is None else "declined"
    return {None: "waiting", "lapsed": "lapsed"}.get(why, "")


def owed(*, currency: str) -> list[Owed]:
    """Every order whose bills and payments do not even out. Five queries where anything is billed and paid."""
    bills = Invoice.objects.filter(currency=currency, kind="invoice").order_by().values("order_id")
    due = dict(bills.annotate(due=Min("due")).values_list("order_id", "due"))
    return [
        Owed(order, quantize(found.balance, currency), due[order])
        for order, found in standings(currency=currency).items()
        if order in due and found.balance
    ]


def orders_by_pk(pks: Iterable[int]) -> dict[int, Order]:
    """Named orders for a list. One query."""
    return Order.objects.select_related("device", "customer").in_bulk(list(pks))
