"""Deeds of the shop's own rules for the children of the nursery: the same slip, setting, count or closing from several at once."""

import datetime as dt
import secrets
from decimal import Decimal
from typing import Any

from intake import house_rules, lifecycle
from intake.models import HistoryEntry, Letter, Letterhead, Order, Slip
from intake.stations import SlipReason
from quotes import closing, payments, price_book, stock
from quotes.models import Closing, Move, Part, Payment, Rates
from shop.books.hours import current_hours
from shop.books.hours_change import change_hours
from shop.keeping import plans
from shop.models import RetentionPlan, ShopHours
from shop.window import doors
from tests.faults.deeds import AT, _person, _refused, _request


def put_slip(order_pk: int, number: int) -> str:
    """Everybody puts the same slip on; it is one slip, whoever asks."""
    order = Order.objects.get(pk=order_pk)
    by = lifecycle.staff(_person("technician"))
    return str(lifecycle.hold(order, reason=SlipReason.PART, by=by, at=AT, note=f"racer {number}").pk)


def take_slip_off(order_pk: int, _number: int) -> str:
    order = Order.objects.get(pk=order_pk)
    by = lifecycle.staff(_person("technician"))
    return "done" if lifecycle.release(order, reason=SlipReason.PART, by=by, at=AT) else "gone"


def slip_after(*, pk: int) -> list[int]:
    """Slips, those still open, and what the history says of them."""
    slips = Slip.objects.filter(order_id=pk)
    said = HistoryEntry.objects.filter(order_id=pk, what__in=["held", "let go"])
    return [slips.count(), slips.filter(ended_at=None).count(), said.count()]


def versions_now() -> dict[str, int]:
    """The newest version of each setting."""
    plan = RetentionPlan.objects.order_by("-version").first()
    return {
        "letterhead": Letterhead.current().version,
        "rates": Rates.current().version,
        "hours": current_hours().version,
        "plan": plan.version if plan else 0,
    }


def change_setting(subject: list[Any], number: int) -> str:
    """Each racer saves a change of its own over the version that all have on their screens."""
    which, seen = subject
    given: dict[str, Any] = {"seen_version": seen, "by": _person("owner"), "at": AT}
    mark = f"{seen}-{number}"
    if which == "letterhead":
        return _refused(lambda: house_rules.change_letterhead(changes={"hours": f"Ring {mark}"}, **given))
    if which == "rates":
        rate = Decimal(60 + number) + Decimal(seen % 100) / 100
        return _refused(lambda: price_book.change_rates(changes={"rate_per_minute": rate}, **given))
    if which == "plan":
        days = {"words": 100 + (seen * 4 + number) % 3000}
        return _refused(lambda: plans.change_plan(days=days, basis={}, **given))
    closed = (dt.date(2030, 1, 1) + dt.timedelta(days=seen * 4 + number),)
    week = [(dt.time(9), dt.time(17))] * 5 + [None, None]
    changes = {"days": week, "country": "", "region": "", "closed": closed}
    return _refused(lambda: change_hours(changes=changes, **given))


def setting_rows(*, which: str) -> list[int]:
    """Every version there is."""
    model = {"letterhead": Letterhead, "rates": Rates, "hours": ShopHours, "plan": RetentionPlan}[which]
    return list(model.objects.order_by("version").values_list("version", flat=True))


def ready_overpaid(*, count: int) -> list[int]:
    """Orders with 5.00 too much on them."""
    found, by = [], _person("owner")
    for _ in range(count):
        order = _request()
        payments.record_payment(
            order=order, kind="card", amount=Decimal(5), key=f"over:{order.pk}", by=by, at=AT
        )
        found.append(order.pk)
    return found


def pay_back(order_pk: int, number: int) -> str:
    """Everybody pays the same excess back, each from a form of their own."""
    order, by = Order.objects.get(pk=order_pk), _person("owner")
    key = f"back:{order_pk}:{number}"
    return _refused(
        lambda: payments.refund(
            order=order, kind="card", amount=Decimal(5), key=key, by=by, at=AT, note="raced"
        )
    )


def paid_after(*, pk: int) -> list[str]:
    return [
        f"{amount:.2f}" for amount in Payment.objects.filter(order_id=pk).values_list("amount", flat=True)
    ]


def ask_fresh_link(order_pk: int, number: int) -> str:
    """Everybody presses "send me a fresh link" for one order."""
    order = Order.objects.select_related("customer").get(pk=order_pk)
    doors.post_fresh_link(code=order.code, email=order.customer.email)
    return "done"


def fresh_links_of(*, pk: int) -> int:
    return Letter.objects.filter(order=pk, kind="fresh_link").count()


def ready_bins(*, count: int) -> list[int]:
    """Parts of which the books hold three."""
    by, found = lifecycle.staff(_person("technician")), []
    for _ in range(count):
        mark = secrets.token_hex(6)
        part = Part.objects.create(number=f"bin-{mark}", name="Counted")
        stock.receive(part=part, quantity=3, unit_cost=Decimal(1), key=f"bin:{mark}", by=by, at=AT)
        found.append(part.pk)
    return found


def count_bin(part_pk: int, number: int) -> str:
    """All have counted two."""
    by = lifecycle.staff(_person("technician"))
    part = Part.objects.get(pk=part_pk)
    key = f"count:{part_pk}:{number}"
    move = stock.count(part=part, counted=2, key=key, by=by, at=AT, why="raced")
    return "agrees" if move is None else "done"


def bin_after(*, pk: int) -> list[int]:
    part = Part.objects.get(pk=pk)
    return [part.on_hand, Move.objects.filter(part=part).exclude(kind="receive").count()]


def close_day(day: str, _number: int) -> str:
    upto = dt.date.fromisoformat(day)
    return _refused(lambda: closing.close(upto=upto, by=_person("owner"), at=AT))


def closings_of(*, day: str) -> int:
    return Closing.objects.filter(upto=day).count()


def last_closed() -> str:
    """The last day that is closed; long before anything else here was booked where there is none."""
    last = Closing.objects.order_by("-upto").first()
    return last.upto.isoformat() if last else "2001-01-01"
