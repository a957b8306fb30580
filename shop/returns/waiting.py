"""What stands at goods out and what is on its way, in a number of queries that does not grow with them."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Max, OuterRef, Subquery
from django.utils import timezone

from intake.house import house
from intake.models import Order, StationLine
from intake.money import quantize
from intake.stations import Outcome, Station
from quotes.models import Invoice
from quotes.owed import standings
from quotes.trade_terms import goes_on_account
from shop.models import Override
from shop.returns.gate_rule import why_not
from shop.returns.on_account import on_account
from shop.returns.silence import is_silent


@dataclass
class Waiting:
    """One order here or on its way; `days` since what it waits for began, by the shop's calendar."""

    order: Order
    days: int
    owed: Decimal = Decimal(0)
    why: str = ""

    @property
    def silent(self) -> bool:
        return is_silent(self.days)


@dataclass
class GoodsOut:
    to_pack: list[Waiting] = field(default_factory=list)
    unpaid: list[Waiting] = field(default_factory=list)
    held: list[Waiting] = field(default_factory=list)
    to_recycle: list[Waiting] = field(default_factory=list)
    on_its_way: list[Waiting] = field(default_factory=list)


def goods_out(*, at: dt.datetime) -> GoodsOut:
    """Every order at 80 or on its way, the longest waiting first in each list."""
    newest = StationLine.objects.filter(order=OuterRef("pk")).order_by("-opened_at")
    rows = (
        Order.objects.filter(station__in=[Station.GOODS_OUT, Station.WAY_HOME])
        .select_related("device", "customer__trade_account", "parcel")
        .prefetch_related("slips")
        .annotate(since=Subquery(newest.values("opened_at")[:1]))
        .order_by("since")
    )
    orders = list(rows)
    owed, billed_at = _money([order.pk for order in orders])
    let_go = set(Override.objects.filter(order__in=orders).values_list("order_id", flat=True))
    free, page = on_account(orders), GoodsOut()
    for order in orders:
        _place(
            page,
            order,
            quantize(owed[order.pk], order.currency),
            order.pk in let_go,
            billed_at,
            at,
            free=order.pk in free,
        )
    return page


def _money(pks: list[int]) -> tuple[dict[int, Decimal], dict[int, dt.datetime]]:
    owed = defaultdict(Decimal, {pk: found.balance for pk, found in standings(order__in=pks).items()})
    invoices = Invoice.objects.filter(order__in=pks).order_by().values("order_id")
    billed_at = dict(invoices.annotate(last=Max("issued_at")).values_list("order_id", "last"))
    return owed, billed_at


def _place(
    page: GoodsOut,
    order: Order,
    owed: Decimal,
    let_go: bool,
    billed_at: dict[int, dt.datetime],
    at: dt.datetime,
    *,
    free: bool,
) -> None:
    if order.station == Station.WAY_HOME:
        page.on_its_way.append(Waiting(order, days_since(order.sent_at, at), owed))
        return
    since: dt.datetime = order.since  # type: ignore[attr-defined]  # annotated in goods_out
    if order.outcome == Outcome.RECYCLED:
        page.to_recycle.append(Waiting(order, days_since(since, at), owed))
        return
    rule = {
        "at_goods_out": True,
        "slips": {slip.reason for slip in order.slips.all() if slip.ended_at is None},
        "currency": order.currency,
        "let_go": let_go,
        "on_account": free,
        "trade": goes_on_account(order.customer),
        "locale": house().locale,
    }
    if held := why_not(owed=Decimal(0), **rule):
        page.held.append(Waiting(order, days_since(since, at), owed, held))
    elif unpaid := why_not(owed=owed, **rule):
        page.unpaid.append(Waiting(order, days_since(billed_at.get(order.pk, since), at), owed, unpaid))
    else:
        page.to_pack.append(Waiting(order, days_since(since, at), owed))


def days_since(moment: dt.datetime | None, at: dt.datetime) -> int:
    """Whole days by the shop's calendar; nought for today, and where nothing began."""
    if moment is None:
        return 0
    return max(0, (timezone.localdate(at) - timezone.localdate(moment)).days)
