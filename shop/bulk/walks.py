"""Every way an order goes that the bulk is cast from, walked by the real actions.

A shape that ends has a weight: how often of a thousand. One that does not end, or ended lately with something left open,
is `recent`: it is only cast near the last day. Weights are invented.
"""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake import lifecycle
from intake.models import Order, Person
from intake.stations import SlipReason
from quotes import billing, diagnosis, disputes, offers, payments, stock, trade_accounts
from quotes.diagnosis import Found
from quotes.models import Part
from quotes.trade_accounts import TermsGiven
from shop.bench import repair, testing, work
from shop.branches import comeback
from shop.bulk.bench import Bench
from shop.bulk.jobs import (
    ANTENNA,
    CAPACITOR,
    FILTER,
    JOBS,
    ORDERED,
    PAD,
    POWER,
    REFLOW,
    SLATE,
    SOCKET,
    TOUCH,
    WATER,
    Job,
)
from shop.demo import steps
from shop.demo.stage import fee_of
from shop.models import Cost
from shop.returns import out


@dataclass(frozen=True)
class Shape:
    """`walk` makes one order on a bench and returns it. `comeback`: it is pinned to an order that was mended before."""

    name: str
    job: Job
    walk: Callable[[Bench], Order]
    weight: int = 0
    recent: bool = False
    trade: bool = False
    comeback: bool = False
    mended: bool = False


def shapes() -> list[Shape]:
    """All of them, those that end first. The order is part of what a seed means."""
    mended = [Shape(f"mended {number}", job, Bench.home, 60, mended=True) for number, job in enumerate(JOBS)]
    return [*mended, *OTHER_ENDS, *STILL_HERE]


def tidy(order: Order) -> Order:
    order.refresh_from_db()
    return order


def declined(bench: Bench) -> Order:
    order = bench.quoted()
    steps.answer(order, choice="back", at=bench.at(4, 14.25))
    return _home_unmended(bench, order)


def _home_unmended(bench: Bench, order: Order, *, day: float = 6) -> Order:
    bench.paid(order, day=day)
    return bench.home(bench.sent(order, day=day), day=day + 2)


def recycled(bench: Bench) -> Order:
    order = bench.quoted()
    steps.answer(order, choice="recycle", at=bench.at(4, 14.25))
    out.recycle(
        order=order, seen_version=order.version, method="Destroyed: storage chip drilled", by=bench.technician,
        at=bench.at(6, 16),
    )  # fmt: skip
    return tidy(order)


def no_fix(bench: Bench) -> Order:
    order = bench.agreed()
    work.write_down(order=order, kind="repair", minutes=58, by=bench.hands, at=bench.at(5, 17))
    repair.no_fix(
        order=order, seen_version=order.version, by=bench.hands, at=bench.at(5, 17.25),
        words="Two attempts held cold and let go warm.",
    )  # fmt: skip
    return _home_unmended(bench, tidy(order))


def data_only(bench: Bench) -> Order:
    choices: dict[str, Any] = {"mend": {"chance": "poor"}, "data": {"on": True, "chance": "good"}}
    order = bench.quoted(lines=bench.data_lines(), choices=choices)
    steps.answer(order, choice="data", at=bench.at(4, 14.25))
    bench.tested(bench.repaired(order), outcome="data only", symptom="bad")
    return _home_unmended(bench, order)


def silent_then_back(bench: Bench) -> Order:
    """Lapsed; asked once more, and sent back."""
    order = lapsed(bench)
    offers.reopen(order=order, seen_version=order.version, by=bench.hands, at=bench.at(27))
    bench.quote(tidy(order), at=bench.at(27, 16))
    steps.answer(order, choice="back", at=bench.at(28))
    return _home_unmended(bench, order, day=30)


def lapsed(bench: Bench) -> Order:
    order = bench.quoted()
    offers.lapse(quote=order.quotes.get(), at=bench.at(26))
    return tidy(order)


def without_the_part(bench: Bench) -> Order:
    """The yes came when the bin was empty."""
    order = bench.quoted()
    _bin_of(bench, -1)
    return bench.agreed(order)


def _bin_of(bench: Bench, change: int, *, day: float = 3) -> None:
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


def after_the_part(bench: Bench) -> Order:
    order = without_the_part(bench)
    _bin_of(bench, 3, day=9)
    repair.parts_came(order=order, by=bench.hands, at=bench.at(9, 17.5))
    bench.tested(bench.repaired(tidy(order), day=10), day=10)
    return _home_unmended(bench, order, day=11)


def failed_once(bench: Bench) -> Order:
    order = failed(bench)
    work.write_down(order=order, kind="repair", minutes=25, by=bench.hands, at=bench.at(6, 16))
    repair.finish(order=order, seen_version=order.version, by=bench.hands, at=bench.at(6, 16))
    bench.tested(tidy(order), day=6)
    return _home_unmended(bench, order, day=7)


def failed(bench: Bench) -> Order:
    order = bench.repaired()
    work.write_down(order=order, kind="test", minutes=9, by=bench.hands, at=bench.at(5, 17))
    testing.sign_fail(
        order=order, seen_version=order.version, by=bench.hands, at=bench.at(5, 17), note="It drops out warm."
    )
    return tidy(order)


def asked_again(bench: Bench) -> Order:
    """A second quote in place of the first, and a talk about it."""
    order = bench.quoted()
    work.write_down(order=order, kind="talk", minutes=11, by=bench.hands, at=bench.at(4, 14.5))
    offers.reopen(order=order, seen_version=order.version, by=bench.hands, at=bench.at(4, 15))
    bench.quote(tidy(order), at=bench.at(4, 16), words="The part turned out to be there.")
    steps.answer(order, at=bench.at(5, 14.25))
    bench.tested(bench.repaired(order, day=6), day=6)
    return _home_unmended(bench, order, day=7)


def two_faults(bench: Bench) -> Order:
    order = bench.agreed()
    found = Found(
        fault_class="driver chip", mendable="yes", words="The light stays dark: its driver was hurt too."
    )
    finding = diagnosis.second_finding(order=order, found=found, key="bulk-2", by=bench.hands, at=bench.at(5))
    offers.second_fault(
        order=order, seen_version=order.version, found=finding, by=bench.hands, at=bench.at(5)
    )
    more = {
        "kind": "labour",
        "text": "Light driver replaced",
        "minutes": 30,
        "quantity": "1",
        "price": "40.00",
    }
    bench.quote(tidy(order), at=bench.at(5, 16), lines=bench.lines(more))
    steps.answer(order, at=bench.at(6, 14.25))
    bench.tested(bench.repaired(order, day=7), day=7)
    return _home_unmended(bench, order, day=8)


def deposit_held(bench: Bench) -> Order:
    order = deposit_wanted(bench)
    payments.record_payment(
        order=order, kind="card", purpose="deposit", amount=Decimal("30.00"), fee=fee_of(Decimal("30.00")),
        key="bulk-deposit", by=bench.owner, at=bench.at(4, 16),
    )  # fmt: skip
    return tidy(order)


def deposit_wanted(bench: Bench) -> Order:
    return bench.agreed(bench.quoted(deposit=Decimal("30.00"), deposit_words="Ordered for your device."))


def with_deposit(bench: Bench) -> Order:
    return bench.home(bench.sent(bench.paid(bench.tested(bench.repaired(deposit_held(bench))))))


def spoiled(bench: Bench) -> Order:
    order = bench.agreed()
    part = Part.objects.get(number=bench.job.parts[0])
    steps.fit(order, part, 1, by=bench.hands, at=bench.at(5, 14.5), spoiled=True, why="Bad on arrival")
    stock.put_aside(
        order=order, quote=order.quotes.get(), by=lifecycle.staff(bench.hands), at=bench.at(5, 14.5)
    )
    return bench.home(bench.sent(bench.paid(bench.tested(bench.repaired(tidy(order))))))


def credited(bench: Bench) -> Order:
    """The part was not needed: credited after it was paid, and paid back."""
    order = bench.home()
    bill = order.invoices.get()
    line = bill.lines.filter(kind="part").first()
    assert line is not None
    billing.credit(
        invoice=bill, why="The old part could be kept.", lines={line.number: line.quantity}, by=bench.owner,
        at=bench.at(10), key="bulk-credit",
    )  # fmt: skip
    payments.refund(
        order=order, kind="card", amount=-billing.balance(order), key="bulk-back", by=bench.owner,
        at=bench.at(10, 16), note="The part that was credited.",
    )  # fmt: skip
    return tidy(order)


def paid_short(bench: Bench) -> Order:
    order = bench.tested()
    payments.record_payment(
        order=order, kind="transfer", amount=billing.balance(order) - 4, key="bulk-short", by=bench.owner,
        at=bench.at(6, 14.5), note="Came short.",
    )  # fmt: skip
    payments.write_off(
        order=order, amount=Decimal(4), key="bulk-gone", by=bench.owner, at=bench.at(6, 15),
        why="The payer's bank kept a charge.",
    )  # fmt: skip
    return bench.home(bench.sent(order))


def dispute_open(bench: Bench) -> Order:
    order = bench.home()
    payment = order.payments.get()
    disputes.open_dispute(
        payment=payment, amount=payment.amount, fee=Decimal("15.00"), why="The payer says it came back scratched.",
        answer_by=bench.at(24).date(), key="bulk-dispute", by=bench.owner, at=bench.at(14),
    )  # fmt: skip
    return tidy(order)


def dispute_won(bench: Bench) -> Order:
    order = dispute_open(bench)
    disputes.end_dispute(
        dispute=order.payments.get().disputes.get(), won=True, by=bench.owner, at=bench.at(30)
    )
    return tidy(order)


def dispute_lost(bench: Bench) -> Order:
    order = dispute_open(bench)
    disputes.end_dispute(
        dispute=order.payments.get().disputes.get(), won=False, by=bench.owner, at=bench.at(30)
    )
    payments.write_off(
        order=order, amount=billing.balance(order), key="bulk-lost", by=bench.owner, at=bench.at(30, 16), why="Lost."
    )  # fmt: skip
    _cost(bench, order, "Phone calls of a dispute", "15.00", day=30)
    return tidy(order)


def _cost(bench: Bench, order: Order, what: str, amount: str, *, day: float) -> None:
    Cost.objects.create(
        order=order, key="bulk-cost", what=what, amount=Decimal(amount), at=bench.at(day), by=bench.owner
    )


def trade_unpaid(bench: Bench) -> Order:
    """A customer of the trade: goods before money."""
    order = bench.request()
    assert order.customer is not None
    trade_accounts.set_terms(
        customer=order.customer, given=TermsGiven(payment_days=30), by=bench.owner, at=bench.at(1)
    )
    steps.receive(order, by=bench.technician, at=bench.at(2, 14.5))
    bench.tested(bench.repaired(bench.agreed(bench.quoted(bench.looked(order)))))
    return bench.home(bench.sent(order))


def trade_paid(bench: Bench) -> Order:
    return tidy(bench.paid(trade_unpaid(bench), day=18, kind="transfer"))


def let_go(bench: Bench) -> Order:
    order = bench.tested()
    out.let_go_unpaid(order=order, reason="Pays on Monday, known to us.", by=bench.owner, at=bench.at(6, 15))
    return bench.home(bench.sent(order))


def let_go_paid(bench: Bench) -> Order:
    return tidy(bench.paid(let_go(bench), day=12, kind="transfer"))


def ours_to_mend(bench: Bench) -> Order:
    """A comeback at no cost: our own work."""
    order = _came_back(bench, "work")
    lines = [
        {"kind": "labour", "text": "Our joint made anew, under warranty", "minutes": 25, "quantity": "1", "price": "0"},
        {"kind": "part", "part": Part.objects.get(number="FLUX-1").pk, "quantity": "1", "price": "0"},
        {"kind": "post", "text": "Return post, on us", "quantity": "1", "price": "0"},
    ]  # fmt: skip
    bench.tested(bench.repaired(bench.agreed(bench.quoted(order, lines=lines))))
    return bench.home(bench.sent(order))


def new_fault(bench: Bench) -> Order:
    """A comeback with another fault: quoted like any order."""
    order = _came_back(bench, "new")
    return bench.home(bench.sent(bench.paid(bench.tested(bench.repaired(bench.agreed(bench.quoted(order)))))))


def _came_back(bench: Bench, cause: str) -> Order:
    earlier = Bench(
        bench.owner, bench.technician, bench.hands, bench.start - dt.timedelta(days=42), bench.job
    )
    before = earlier.home()
    order = bench.request()
    Order.objects.filter(pk=order.pk).update(comeback_of=before)
    order.refresh_from_db()
    steps.receive(order, by=bench.technician, at=bench.at(2, 14.5))
    said = comeback.Said(cause=cause, words="A joint has cracked.")
    comeback.say_cause(order=order, said=said, key="bulk-cause", by=bench.hands, at=bench.at(3, 14.25))
    bench.looked(order)
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
    _cost(bench, order, "Lost parcel, value above cover", "140.00", day=16)
    return tidy(order)


OTHER_ENDS = (
    Shape("declined", CAPACITOR, declined, 60),
    Shape("declined, cheap", FILTER, declined, 30),
    Shape("recycled", REFLOW, recycled, 14),
    Shape("no fix", REFLOW, no_fix, 46),
    Shape("no fix, touch", TOUCH, no_fix, 24),
    Shape("data only", POWER, data_only, 20),
    Shape("silent then back", SOCKET, silent_then_back, 12),
    Shape("after the part", POWER, after_the_part, 36, mended=True),
    Shape("failed once", TOUCH, failed_once, 24, mended=True),
    Shape("asked again", SLATE, asked_again, 20, mended=True),
    Shape("two faults", SOCKET, two_faults, 14, mended=True),
    Shape("with deposit", ORDERED, with_deposit, 20, mended=True),
    Shape("spoiled", ANTENNA, spoiled, 12, mended=True),
    Shape("credited", PAD, credited, 4, mended=True),
    Shape("paid short", FILTER, paid_short, 6, mended=True),
    Shape("dispute won", SOCKET, dispute_won, 2, mended=True),
    Shape("dispute lost", SOCKET, dispute_lost, 3, mended=True),
    Shape("trade paid", SLATE, trade_paid, 40, trade=True, mended=True),
    Shape("let go, paid", PAD, let_go_paid, 5, mended=True),
    Shape("ours to mend", SOCKET, ours_to_mend, 14, comeback=True),
    Shape("new fault", SOCKET, new_fault, 8, comeback=True),
)
STILL_HERE: Sequence[Shape] = (
    Shape("requested", SOCKET, Bench.request, recent=True),
    Shape("arrived", CAPACITOR, Bench.arrived, recent=True),
    Shape("looked", FILTER, Bench.looked, recent=True),
    Shape("quoted", WATER, Bench.quoted, recent=True),
    Shape("agreed", POWER, Bench.agreed, recent=True),
    Shape("repaired", ANTENNA, Bench.repaired, recent=True),
    Shape("tested", PAD, Bench.tested, recent=True),
    Shape("paid here", SLATE, paid_here, recent=True),
    Shape("sent", REFLOW, Bench.sent, recent=True),
    Shape("swollen", FILTER, swollen, recent=True),
    Shape("asked", TOUCH, asked, recent=True),
    Shape("lapsed", SOCKET, lapsed, recent=True),
    Shape("without the part", POWER, without_the_part, recent=True),
    Shape("deposit wanted", ORDERED, deposit_wanted, recent=True),
    Shape("deposit held", ORDERED, deposit_held, recent=True),
    Shape("failed", TOUCH, failed, recent=True),
    Shape("dispute open", CAPACITOR, dispute_open, recent=True),
    Shape("trade unpaid", SLATE, trade_unpaid, recent=True, trade=True),
    Shape("let go", PAD, let_go, recent=True),
    Shape("lost", SOCKET, lost, recent=True),
)


def bench_of(owner: Person, technician: Person, number: int, shape: Shape, *, start: dt.datetime) -> Bench:
    """Every third is mended by the technician."""
    return Bench(owner, technician, technician if number % 3 == 2 else owner, start, shape.job)
