"""Walks that stop on the way: an order that waits, or went on and is not heard of. Each is walked by the real actions."""

from decimal import Decimal

from intake import lifecycle
from intake.models import Order
from intake.stations import SlipReason
from quotes import offers, payments, stock
from quotes.models import Part
from shop.bench import testing, work
from shop.bulk.bench import Bench
from shop.demo.stage import fee_of
from shop.models import Cost


def tidy(order: Order) -> Order:
    order.refresh_from_db()
    return order


def lapsed(bench: Bench) -> Order:
    order = bench.quoted()
    offers.lapse(quote=order.quotes.get(), at=bench.at(26))
    return tidy(order)


def without_the_part(bench: Bench) -> Order:
    """The yes came when the bin was empty."""
    order = bench.quoted()
    bin_of(bench, -1)
    return bench.agreed(order)


def bin_of(bench: Bench, change: int, *, day: float = 3) -> None:
    part = Part.objects.get(number=bench.job.parts[0])
    by, at = lifecycle.staff(bench.owner), bench.at(day, 17)
    if change < 0:
        stock.count(
            part=part, counted=part.reserved, key=f"bulk-empty-{part.pk}", by=by, at=at, why="none there"
        )
    else:
        stock.receive(
            part=part, quantity=change, unit_cost=part.unit_cost, key=f"bulk-came-{part.pk}", by=by, at=at
        )  # fmt: skip


def failed(bench: Bench) -> Order:
    order = bench.repaired()
    work.write_down(order=order, kind="test", minutes=9, by=bench.hands, at=bench.at(5, 17))
    testing.sign_fail(
        order=order, seen_version=order.version, by=bench.hands, at=bench.at(5, 17), note="It drops out warm."
    )
    return tidy(order)


def deposit_wanted(bench: Bench) -> Order:
    return bench.agreed(bench.quoted(deposit=Decimal("30.00"), deposit_words="Ordered for your device."))


def deposit_held(bench: Bench) -> Order:
    order = deposit_wanted(bench)
    payments.record_payment(
        order=order, kind="card", purpose="deposit", amount=Decimal("30.00"), fee=fee_of(Decimal("30.00")),
        key="bulk-deposit", by=bench.owner, at=bench.at(4, 16),
    )  # fmt: skip
    return tidy(order)


def swollen(bench: Bench) -> Order:
    return bench.arrived(cell_state="swollen", condition="Pack swollen")


def asked(bench: Bench) -> Order:
    """Waits for an answer of the customer."""
    order = bench.arrived()
    lifecycle.hold(
        order, reason=SlipReason.CUSTOMER, by=lifecycle.staff(bench.hands), at=bench.at(3), note="Which code is it?"
    )  # fmt: skip
    return tidy(order)


def paid_here(bench: Bench) -> Order:
    return tidy(bench.paid())


def lost(bench: Bench) -> Order:
    order = bench.sent()
    lifecycle.hold(
        order, reason=SlipReason.LOST, by=lifecycle.staff(bench.owner), at=bench.at(16), note="No scan since."
    )  # fmt: skip
    cost(bench, order, "Lost parcel, value above cover", "140.00", day=16)
    return tidy(order)


def cost(bench: Bench, order: Order, what: str, amount: str, *, day: float) -> None:
    Cost.objects.create(
        order=order, key="bulk-cost", what=what, amount=Decimal(amount), at=bench.at(day), by=bench.owner
    )


def home_again(bench: Bench, order: Order, *, day: float = 6) -> Order:
    bench.paid(order, day=day)
    return bench.home(bench.sent(order, day=day), day=day + 2)
