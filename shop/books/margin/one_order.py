"""One order's margin with where each sum comes from, read from its papers, moves, minutes and parcel."""

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

from django.urls import reverse
from django.utils import timezone

from intake import wording
from intake.house import house as letterhead
from intake.models import Order
from quotes.models import Dispute, Move
from shop.books.gather import codes
from shop.books.house import house, smallest_units
from shop.books.keep import kept
from shop.books.line_facts import lines_of
from shop.books.lines import House, Line
from shop.books.margin import burden_maths
from shop.books.margin.origin_maths import Carried, Ordered, Source, origins
from shop.books.margin.shapes import KINDS
from shop.books.margin.sharing_maths import shared_out
from shop.books.periods import midnight
from shop.models import BookLine

Sources = dict[str, list[Source]]


def steps_of(order: Order, *, at: dt.datetime) -> Ordered | None:
    """The order's line and its steps; None before it has arrived, or in a currency the books are not kept in. A number of queries that no other order changes but those
    that came back from this one, and, for its share, the lines of the month it left in."""
    shop, now = house(), int(at.timestamp())
    lines = lines_of(Order.objects.filter(pk=order.pk), house=shop, now=now)
    if not lines or order.currency != shop.currency:
        return None
    (line,) = lines
    steps = origins(line, _sources(order, line, shop), _carried(order, line, shop, now))
    return Ordered(shop, line, tuple(steps))


def _sources(order: Order, line: Line, shop: House) -> Sources:
    found: Sources = {"bench": _minutes(order, line)}
    for key, words, amount, href in [*_papers(order), *_moves(order), *_losses(order), *_post(order)]:
        found.setdefault(key, []).append(Source(words, smallest_units(amount, shop.digits), href))
    return found


Row = tuple[str, str, Decimal, str]


def _papers(order: Order) -> Iterator[Row]:
    sheet = reverse("shop:sheet", args=[order.code])
    for paper in order.invoices.all():
        yield (
            "billed",
            f"{paper.get_kind_display()} {paper.number}, {_day(paper.issued_at)}",
            paper.net,
            sheet,
        )
    for paid in order.payments.all():
        if paid.fee:
            yield "fees", f"{paid.get_kind_display()}, {_day(paid.at)}", -paid.fee, sheet
        if paid.purpose == paid.Purpose.LOSS:
            yield "losses", f"Made good: {paid.note}", paid.amount, sheet
    for given_up in order.write_offs.all():
        yield "losses", f"Written off: {given_up.why}", -given_up.amount, sheet


def _moves(order: Order) -> Iterator[Row]:
    kinds = {Move.Kind.CONSUME: "parts", Move.Kind.SPOIL: "spoiled"}
    for move in order.moves.filter(kind__in=kinds).select_related("part", "lot"):
        lot = f", lot {move.lot.number}" if move.lot else ""
        why = f": {move.why}" if move.kind == Move.Kind.SPOIL and move.why else ""
        words = f"{-move.on_hand_change} of {move.part.number} {move.part.name}{lot}{why}"
        yield (
            kinds[Move.Kind(move.kind)],
            words,
            move.on_hand_change * move.unit_cost,
            reverse("shop:part", args=[move.part_id]),
        )


def _losses(order: Order) -> Iterator[Row]:
    for cost in order.costs.order_by("id"):
        yield "losses", f"{cost.what}, {_day(cost.at)}", -cost.amount, ""
    for dispute in Dispute.objects.filter(payment__order=order, fee__gt=0):
        yield "losses", f"Fee of a disputed payment: {dispute.why}", -dispute.fee, ""


def _post(order: Order) -> Iterator[Row]:
    parcel = getattr(order, "parcel", None)
    if parcel is not None:
        yield "post", " ".join(filter(None, [parcel.carrier, parcel.tracking])), -parcel.cost, ""


def _minutes(order: Order, line: Line) -> list[Source]:
    """By kind and person; the bench's cost is shared out among them by their minutes."""
    spent: Counter[tuple[str, str]] = Counter()
    for kind, who, minutes in order.work.order_by("id").values_list("kind", "by__username", "minutes"):
        spent[kind, who] += minutes
    cost = shared_out(line.bench, spent)
    return [
        Source(f"{KINDS[kind]}, {who}: {wording.minutes(spent[kind, who])}", -cost[kind, who])
        for kind, who in sorted(spent, key=lambda pair: ([*KINDS].index(pair[0]), pair[1]))
        if spent[kind, who]
    ]


def _carried(order: Order, line: Line, shop: House, now: int) -> Carried:
    back = burden_maths.under_warranty(
        lines_of(Order.objects.filter(comeback_of=order, currency=shop.currency), house=shop, now=now)
    )
    named = codes(one.order for one in back)
    warranty = tuple(
        Source(f"{named[one.order]} came back", one.full, reverse("shop:books_margin_order", args=[named[one.order]]))
        for one in back
    )  # fmt: skip
    if not line.left or not burden_maths.billed_repairs([line]):
        return Carried(warranty)
    month, lines = _month_of(line, shop)
    shares = burden_maths.shares(lines)
    words = (
        f"Looking nobody paid for in {month}, {_money(burden_maths.burden(lines), shop)}, shared by "
        f"{wording.count(len(shares), 'billed repair')} that left in it"
    )
    return Carried(warranty, shares.get(line.order, 0), words)


def _month_of(line: Line, shop: House) -> tuple[str, list[Line]]:
    first = dt.date.fromordinal(line.left_day).replace(day=1)
    next_first = (first + dt.timedelta(days=31)).replace(day=1)
    rows = BookLine.objects.filter(
        currency=shop.currency, left__gte=midnight(first.toordinal(), shop),
        left__lt=midnight(next_first.toordinal(), shop),
    )  # fmt: skip
    return f"{first:%B %Y}", list(kept(rows))


def _money(amount: int, shop: House) -> str:
    return wording.money(Decimal(amount).scaleb(-shop.digits), shop.currency, letterhead().locale)


def _day(moment: dt.datetime) -> str:
    return wording.day_short(timezone.localtime(moment))
