"""What stands beside the finding: orders like this one, and what they point to. A guess, never filled in."""

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Q, Sum

from intake.models import Order
from quotes.models import QuoteLine, Remedy
from shop.books.line_quotes import ACCEPTED
from shop.models import WorkSession
from shop.seen.cases import seen
from shop.seen.gower_maths import FEW, Near, nearest, suggestion
from shop.seen.hits import hits_of, stood

# The lines of the choice that was taken.
TAKEN = Q(choice=F("quote__decision__choice")) | Q(choice="mend", quote__decision__choice="first")


@dataclass(frozen=True)
class Like:
    """One finished order: how alike in percent, what was found, what was agreed, how it ended, minutes at the bench."""

    order: Order
    percent: int
    fault: str
    remedies: str
    outcome: str
    minutes: int


def panel(order: Order) -> dict[str, Any]:
    """Up to five orders like this one, the suggestion by their vote, and how often it was right. Fifteen queries at most."""
    known = seen(order.device.kind, order)
    assert known.asked is not None
    near = nearest(known.asked, known.cases)
    told = suggestion(near)
    return {
        "like": _like(near, known.names),
        "suggested": known.names.get(told.fault, told.fault)[:60] if told else "",
        "votes": told.votes if told else 0,
        "asked": len(near),
        "of": len(known.cases),
        "few": len(known.cases) < FEW,
        "hits": hits_of(order.device.kind) if near else None,
        "stood": stood() if near else None,
    }


def _like(near: list[Near], names: dict[str, str]) -> list[Like]:
    pks = [each.case.number for each in near]
    if not pks:
        return []
    orders = Order.objects.select_related("device").in_bulk(pks)
    work = WorkSession.objects.filter(order__in=pks).order_by().values_list("order_id")
    spent: dict[int, int] = dict(work.annotate(Sum("minutes")))
    remedies = _remedies(pks)
    return [
        Like(
            order=orders[each.case.number],
            percent=round(each.likeness * 100),
            fault=names.get(each.case.fault, each.case.fault),
            remedies=", ".join(remedies[each.case.number]),
            outcome=orders[each.case.number].outcome,
            minutes=spent.get(each.case.number, 0),
        )
        for each in near
    ]


def _remedies(pks: list[int]) -> dict[int, list[str]]:
    """By order, the remedies that were agreed; a merged one by the name of the one that stays. Two queries."""
    rows = QuoteLine.objects.filter(
        TAKEN, quote__order__in=pks, quote__decision__choice__in=ACCEPTED, remedy__isnull=False, extra=""
    )
    lines = list(rows.order_by("quote__revision", "id").values_list("quote__order_id", "remedy_id"))
    into = {
        pk: (name, after) for pk, name, after in Remedy.objects.values_list("pk", "name", "merged_into_id")
    }
    found: dict[int, list[str]] = defaultdict(list)
    for order, pk in lines:
        while into[pk][1] is not None:
            pk = into[pk][1]
        if into[pk][0] not in found[order]:
            found[order].append(into[pk][0])
    return found
