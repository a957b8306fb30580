"""What the pages of the lots read: a lot with its sums, the lots of a part, and who holds a piece of one."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Case, F, IntegerField, Q, Sum, Value, When

from intake.models import Order
from quotes import lots
from quotes.models import Lot, Move, Part
from shop.bench.spoiling import BAD_ON_ARRIVAL

LOTS_A_PAGE = 50


@dataclass(frozen=True)
class LotRow:
    """A lot and its pieces: `here` in the bin, `came` in, `fitted` in orders, `spoiled`, of these `bad` on arrival."""

    lot: Lot
    here: int = 0
    came: int = 0
    fitted: int = 0
    spoiled: int = 0
    bad: int = 0


@dataclass(frozen=True)
class HolderRow:
    """An order with pieces of the lot in it, and the sheets on which it came back."""

    holder: lots.Holder
    comebacks: list[Order] = field(default_factory=list)


def rows(found: Iterable[Lot]) -> list[LotRow]:
    """The sums of these lots, in their order; one query."""
    listed = list(found)
    sums = _sums(listed)
    return [LotRow(lot, **sums.get(lot.pk, {})) for lot in listed]


def _sums(listed: list[Lot]) -> dict[int, dict[str, int]]:
    def of(rule: Q, sign: int = 1) -> Sum:
        worth = Case(
            When(rule, then=F("on_hand_change") * sign), default=Value(0), output_field=IntegerField()
        )
        return Sum(worth)

    moves = Move.objects.filter(lot__in=listed).order_by().values("lot_id")
    spoiled = Q(kind=Move.Kind.SPOIL)
    told = moves.annotate(
        here=Sum("on_hand_change"),
        came=of(Q(kind=Move.Kind.RECEIVE)),
        fitted=of(Q(kind=Move.Kind.CONSUME), -1),
        spoiled=of(spoiled, -1),
        bad=of(spoiled & Q(why__startswith=BAD_ON_ARRIVAL), -1),
    )
    return {row.pop("lot_id"): row for row in told}


def lots_of(part: Part) -> list[LotRow]:
    """The lots of a part, the oldest first; empty ones at the end."""
    listed = rows(Lot.objects.filter(part=part).order_by("came_at", "id"))
    return sorted(listed, key=lambda row: row.here <= 0)


def page(*, words: str = "", stopped: bool = False, before: int = 0) -> tuple[list[LotRow], int | None]:
    """Lots, the newest first, whose number, part, supplier or marks holds every word; and the lot to go on from."""
    found = Lot.objects.select_related("part")
    if stopped:
        found = found.filter(stopped_at__isnull=False)
    for word in words.split():
        found = found.filter(
            Q(number__icontains=word) | Q(part__number__icontains=word) | Q(part__name__icontains=word)
            | Q(supplier__icontains=word) | Q(marks__icontains=word)
        )  # fmt: skip
    if before:
        found = found.filter(pk__lt=before)
    listed = list(found.order_by("-pk")[: LOTS_A_PAGE + 1])
    more = len(listed) > LOTS_A_PAGE
    return rows(listed[:LOTS_A_PAGE]), listed[LOTS_A_PAGE - 1].pk if more else None


def holders(lot: Lot) -> list[HolderRow]:
    """The orders that hold a part of this lot, the newest fitting first, each with the sheets it came back on."""
    found = lots.holders(lot)
    back: dict[int, list[Order]] = defaultdict(list)
    for order in Order.objects.filter(comeback_of__in=[one.order for one in found]).order_by("pk"):
        back[order.comeback_of_id].append(order)
    return [HolderRow(one, back.get(one.order.pk, [])) for one in found]
