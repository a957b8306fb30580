"""What the stock pages read: the ledger by bin, a part's moves, and what the open sheets are short of. No page counts rows."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import F, Q, Sum

from intake.models import Order
from intake.stations import SlipReason, Station
from quotes.agreed import WORK
from quotes.models import Lot, Move, Part, Quote, QuoteLine

PARTS_A_PAGE = 100
MOVES_A_PAGE = 25


@dataclass
class Ledger:
    """One page of parts; `after` is the part to go on from, None at the end."""

    parts: list[Part]
    after: int | None


def ledger(*, words: str = "", retired: bool = False, after: int = 0) -> Ledger:
    """Parts by bin, then number; those whose number, name, fits or bin holds every word."""
    rows = Part.objects.all() if retired else Part.objects.filter(active=True)
    for word in words.split():
        rows = rows.filter(
            Q(number__icontains=word)
            | Q(name__icontains=word)
            | Q(fits__icontains=word)
            | Q(bin__iexact=word)
        )
    if after and (last := Part.objects.filter(pk=after).first()):
        rows = rows.filter(Q(bin__gt=last.bin) | Q(bin=last.bin, number__gt=last.number))
    found = list(rows.order_by("bin", "number")[: PARTS_A_PAGE + 1])
    more = len(found) > PARTS_A_PAGE
    return Ledger(found[:PARTS_A_PAGE], found[PARTS_A_PAGE - 1].pk if more else None)


def moves_of(part: Part, *, before: int = 0) -> tuple[list[Move], int | None]:
    """The newest moves, older than the move `before`; and the move to go on from, None at the end."""
    rows = Move.objects.filter(part=part).select_related("order", "lot")
    if before and (last := Move.objects.filter(pk=before, part=part).first()):
        rows = rows.filter(Q(at__lt=last.at) | Q(at=last.at, pk__lt=last.pk))
    found = list(rows.order_by("-at", "-pk")[: MOVES_A_PAGE + 1])
    more = len(found) > MOVES_A_PAGE
    return found[:MOVES_A_PAGE], found[MOVES_A_PAGE - 1].pk if more else None


@dataclass
class Short:
    """A part that open sheets still need more of than lies free."""

    part: Part
    wanted: int = 0
    orders: list[Order] = field(default_factory=list)


def short_now() -> list[Short]:
    """What the sheets that wait for a part still need: agreed, less fitted and put aside. Four queries."""
    orders = {
        order.pk: order
        for order in Order.objects.filter(
            station=Station.REPAIR, slips__reason=str(SlipReason.PART), slips__ended_at__isnull=True
        ).distinct()
    }
    have = _fitted_and_aside(orders)
    short: dict[int, Short] = {}
    for line in _agreed_lines(orders):
        part, order = line.part, orders[line.quote.order_id]
        assert part is not None
        left = int(line.quantity) - have[order.pk, part.pk]
        if left > 0:
            row = short.setdefault(part.pk, Short(part))
            row.wanted += left
            row.orders.append(order)
    return sorted(short.values(), key=lambda row: row.part.number)


def _agreed_lines(orders: Iterable[int]) -> list[QuoteLine]:
    newest: dict[int, int] = {}
    agreed = Quote.objects.filter(order__in=orders, decision__choice__in=WORK, decision__stop__isnull=True)
    for quote in agreed.order_by("revision"):
        newest[quote.order_id] = quote.pk
    lines = QuoteLine.objects.filter(quote__in=newest.values(), part__isnull=False)
    # Extras are a list in the decision, which no query of both engines can look into.
    return [
        line
        for line in lines.filter(choice=F("quote__decision__choice")).select_related(
            "part", "quote__decision"
        )
        if not line.extra or line.extra in line.quote.decision.extras
    ]


def _fitted_and_aside(orders: Iterable[int]) -> dict[tuple[int, int], int]:
    have: dict[tuple[int, int], int] = defaultdict(int)
    rows = Move.objects.filter(order__in=orders).order_by().values("order_id", "part_id", "kind")
    for row in rows.annotate(hand=Sum("on_hand_change"), aside=Sum("reserved_change")):
        place = row["order_id"], row["part_id"]
        have[place] += row["aside"] - (row["hand"] if row["kind"] == Move.Kind.CONSUME else 0)
    return have


def running_low() -> list[Part]:
    """Parts whose free pieces are at the number to buy at, or below."""
    rows = Part.objects.filter(active=True, reorder_at__gt=0, on_hand__lte=F("reorder_at") + F("reserved"))
    return list(rows.order_by("bin", "number")[:PARTS_A_PAGE])


def suppliers() -> list[str]:
    """Who parts came from before, for the line where it is typed."""
    return list(Lot.objects.order_by("supplier").values_list("supplier", flat=True).distinct()[:PARTS_A_PAGE])
