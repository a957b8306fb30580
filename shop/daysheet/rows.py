"""Reads every open order for the day sheet, in a number of queries that does not grow with them."""

import datetime as dt

from django.db.models import Exists, Min, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from intake.models import Letter, Message, Order, StationLine
from intake.stations import SlipReason, Station
from quotes.ledger_maths import Standing
from quotes.models import Quote, QuoteEnd, Reading
from quotes.owed import standings
from quotes.trade_terms import goes_on_account
from shop.daysheet.order_of_work import DaySheet, Job, lay_out
from shop.models import Override, WorkSession


def day_sheet(*, at: dt.datetime) -> tuple[DaySheet, dict[str, Order]]:
    """The sheet of the day, and its orders by code. The number of queries does not grow with them."""
    orders = {order.code: order for order in open_orders()}
    owed = standings(order__station=Station.GOODS_OUT)
    jobs = [_job(order, owed.get(order.pk, Standing())) for order in orders.values()]
    return lay_out(jobs, now=timezone.localtime(at)), orders


def open_orders() -> QuerySet[Order]:
    """Every order that is not home, with what its place in the day depends on."""
    mine = OuterRef("pk")
    open_line = StationLine.objects.filter(order=mine, signed_at__isnull=True)
    asked = Message.objects.filter(order=mine, from_customer=True, answered_at__isnull=True)
    last_quote = Quote.objects.filter(order=mine).order_by("-revision")
    begun = WorkSession.objects.filter(order=mine, started_at__gte=OuterRef("line_since"))
    read = Reading.objects.filter(order=mine, at__gte=OuterRef("line_since"))
    return (
        Order.objects.filter(~Q(station=Station.HOME))
        .select_related("device", "customer__trade_account")
        .prefetch_related("slips")
        .annotate(
            line_since=Subquery(open_line.values("opened_at")[:1]),
            asked_at=Subquery(asked.order_by().values("order").annotate(first=Min("at")).values("first")[:1]),
            quote_end=Subquery(last_quote.values("end__why")[:1]),
            stuck=Exists(Letter.objects.filter(order=mine, state__in=[Letter.State.HELD, Letter.State.DEAD])),
            let_go=Exists(Override.objects.filter(order=mine)),
        )
        .annotate(worked=Exists(begun), measured=Exists(read))
    )


def _job(order: Order, standing: Standing) -> Job:
    slips = [slip for slip in order.slips.all() if slip.ended_at is None]
    free = goes_on_account(order.customer) or order.let_go  # type: ignore[attr-defined]  # annotated
    lapsed = order.quote_end == QuoteEnd.Why.LAPSED  # type: ignore[attr-defined]  # annotated in open_orders
    return Job(
        code=order.code,
        station=order.at_station,
        since=timezone.localtime(order.line_since or order.created_at),  # type: ignore[attr-defined]  # annotated
        promise=order.promise,
        arrived=order.arrived_at is not None,
        posted=order.posted_at is not None,
        slips=frozenset(SlipReason(slip.reason) for slip in slips),
        slip_since=timezone.localtime(min(slip.started_at for slip in slips)) if slips else None,
        question_since=timezone.localtime(order.asked_at) if order.asked_at else None,  # type: ignore[attr-defined]  # annotated
        letter_stuck=order.stuck,  # type: ignore[attr-defined]  # annotated
        quote_lapsed=lapsed and order.at_station is Station.GO_AHEAD,
        owes=not free and standing.balance > 0,
        begun=order.worked or order.measured,  # type: ignore[attr-defined]  # annotated
        outcome=order.outcome,
    )
