"""Deeds on orders that have left, each of which moves the books' lines and sums."""

from decimal import Decimal
from typing import Any
from unittest import mock

from intake.models import Order
from intake.stations import Station
from quotes import payments
from shop.books import keep
from shop.books.recount import recount
from shop.models import BookDay, BookLine
from shop.returns import costs, out
from tests import walk
from tests.faults.deeds import AT, _away, _person, _request
from tests.faults.money_deeds import _die


def ready_packed(*, count: int) -> list[int]:
    """Orders at goods out, billed and paid."""
    by, found = _person("owner"), []
    for _ in range(count):
        order = walk.to(_request(), Station.GOODS_OUT, by=by, at=AT)
        walk.pay(order, by=by, at=AT)
        _away(order)
        found.append(order.pk)
    return found


def leave(order_pk: int, _number: int = 0) -> str:
    order = Order.objects.get(pk=order_pk)
    try:
        walk.send(order, by=_person("owner"), at=AT)
    except Exception as refused:
        if type(refused).__name__ != "SheetMoved":
            raise
        return "left before"
    return "left"


def cost_more(order_pk: int, number: int) -> str:
    """A cost and a payment on one order, each racer its own."""
    order, by = Order.objects.get(pk=order_pk), _person("owner")
    costs.add_cost(
        order=order,
        what="Claim turned down",
        amount=Decimal(number + 1),
        key=f"c:{order_pk}:{number}",
        by=by,
        at=AT,
    )
    payments.record_payment(
        order=order, kind="cash", amount=Decimal(number + 1), key=f"p:{order_pk}:{number}", by=by, at=AT
    )
    return "done"


def leave_and_die(*, order_pk: int, point: str) -> None:
    where: dict[str, tuple[Any, str]] = {
        "before the line": (keep, "write"),
        "at the line": (keep, "move_sums"),
        "at the sums": (BookDay.objects, "bulk_create"),
        "on the way home": (out.letters, "tell"),
    }
    with mock.patch.object(*where[point], _die):
        leave(order_pk)


def books_now() -> dict[str, Any]:
    """What a recount finds, and what is kept."""
    return {
        "faults": recount().faults,
        "lines": list(BookLine.objects.order_by("pk").values_list("order_id", flat=True)),
        "losses": sum(BookDay.objects.filter(facet="all").values_list("losses", flat=True)),
    }
