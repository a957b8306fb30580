"""Reads every open order for the day sheet, in a number of queries that does not grow with them."""

import datetime as dt

from django.db.models import (
    Case,
    Exists,
    F,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    TextField,
    Value,
    When,
)
from django.db.models.functions import Cast, Concat
from django.utils import timezone

from intake.models import Letter, Message, Order, StationLine
from intake.stations import SlipReason, Station
from quotes.agreed import WORK
from quotes.ledger_maths import Standing
from quotes.list_words import fold
from quotes.models import Quote, QuoteEnd, QuoteLine, Reading
from quotes.owed import standings
from shop.bench.mending import forgotten
from shop.bench.soaks import soaks_running
from shop.branches.copies import due_copies
from shop.daysheet.minutes_left import USUAL, minutes_left, usual_minutes
from shop.daysheet.order_of_work import DaySheet, Job, lay_out
from shop.models import DataCopy, Override, WorkSession
from shop.returns.on_account import on_account

# The newest signatures say what is usual; older ones were another bench.
NEWEST = 100
KIND_HERE = {Station.DIAGNOSIS: "look", Station.REPAIR: "repair", Station.TEST: "test"}


def day_sheet(*, at: dt.datetime) -> tuple[DaySheet, dict[str, Order]]:
    """The sheet of the day, and its orders by code. The number of queries does not grow with them."""
    orders = {order.code: order for order in open_orders()}
    owed = standings(order__station=Station.GOODS_OUT)
    free = on_account(order for order in orders.values() if order.station == Station.GOODS_OUT)
    usual, soaks = _usual(), {soak.order.pk: soak.ends_at for soak in soaks_running(at)}
    jobs = [
        _job(order, owed.get(order.pk, Standing()), usual, soaks.get(order.pk), known=order.pk in free)
        for order in orders.values()
    ]
    return lay_out(jobs, now=timezone.localtime(at)), orders


def running_now() -> list[WorkSession]:
    """Every clock that runs, of whom it may be. One query."""
    return list(WorkSession.objects.filter(ended_at__isnull=True).select_related("order", "by"))


def forgotten_now(running: list[WorkSession], *, at: dt.datetime) -> list[WorkSession]:
    """Those that run too long to be true."""
    return forgotten(running, at)


def copies_due(*, at: dt.datetime) -> list[DataCopy]:
    """Copies of customers' data whose day to be deleted has come, the oldest first. One query."""
    return list(due_copies(timezone.localtime(at).date()))


def _usual() -> dict[Station, int]:
    signed = StationLine.objects.filter(station__in=list(USUAL), signed_at__isnull=False, minutes__gt=0)
    return usual_minutes(signed.order_by("-signed_at", "-pk").values_list("station", "minutes")[:NEWEST])


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
        .annotate(kind_here=_kind_here(), agreed_pk=Subquery(_agreed().values("pk")[:1]))
        .annotate(spent=Subquery(_spent()), planned=Subquery(_planned()))
    )


def _kind_here() -> Case:
    """What minutes at the open station are for; "" where it is not at the bench."""
    return Case(
        *(When(station=station, then=Value(kind)) for station, kind in KIND_HERE.items()), default=Value("")
    )


def _agreed() -> QuerySet[Quote]:
    """The newest quote that was answered with a yes, as `quotes.agreed.agreed_quote` has it."""
    agreed = Quote.objects.filter(
        order=OuterRef("pk"), decision__choice__in=WORK, decision__stop__isnull=True
    )
    return agreed.order_by("-revision")


def _spent() -> QuerySet[WorkSession, int]:
    """Minutes at the open station so far."""
    rows = WorkSession.objects.filter(
        order=OuterRef("pk"), kind=OuterRef("kind_here"), ended_at__isnull=False
    )
    return rows.order_by().values("order").annotate(sum=Sum("minutes")).values("sum")


def _planned() -> QuerySet[QuoteLine, int]:
    """Minutes of the lines that were agreed: those of the choice, with the extras that were taken."""
    lines = QuoteLine.objects.filter(quote=OuterRef("agreed_pk"), choice=F("quote__decision__choice"))
    named = Concat(Value('"'), F("extra"), Value('"'))
    taken = lines.annotate(extras=Cast("quote__decision__extras", TextField())).filter(
        Q(extra="") | Q(extras__contains=named)
    )
    return taken.order_by().values("quote").annotate(sum=Sum("minutes")).values("sum")


def _job(
    order: Order,
    standing: Standing,
    usual: dict[Station, int],
    soak_ends: dt.datetime | None,
    *,
    known: bool,
) -> Job:
    slips = [slip for slip in order.slips.all() if slip.ended_at is None]
    free = known or order.let_go  # type: ignore[attr-defined]  # annotated
    lapsed = order.quote_end == QuoteEnd.Why.LAPSED  # type: ignore[attr-defined]  # annotated in open_orders
    left, about = minutes_left(
        order.at_station,
        planned=order.planned,  # type: ignore[attr-defined]  # annotated
        spent=order.spent or 0,  # type: ignore[attr-defined]  # annotated
        usual=usual,
    )
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
        soak_ends=timezone.localtime(soak_ends) if soak_ends else None,
        letter_stuck=order.stuck,  # type: ignore[attr-defined]  # annotated
        quote_lapsed=lapsed and order.at_station is Station.GO_AHEAD,
        owes=not free and standing.balance > 0,
        begun=order.worked or order.measured,  # type: ignore[attr-defined]  # annotated
        outcome=order.outcome,
        bag=order.bag_here,
        family=order.device.short,
        alike=fold(order.device.short),
        left=left,
        about=about,
    )
