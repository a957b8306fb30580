"""Every way an order goes that the bulk is cast from, walked by the real actions.

A shape that ends has a weight: how often of a thousand. One that does not end, or ended lately with something left open,
is `recent`: it is only cast near the last day. Weights are invented.
"""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from intake.models import Order, Person
from shop.bulk.bench import Bench
from shop.bulk.ending_walks import (
    after_the_part,
    asked_again,
    data_only,
    declined,
    failed_once,
    new_fault,
    no_fix,
    ours_to_mend,
    recycled,
    silent_then_back,
    spoiled,
    two_faults,
    with_deposit,
)
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
from shop.bulk.money_walks import (
    credited,
    dispute_lost,
    dispute_open,
    dispute_won,
    let_go,
    let_go_paid,
    paid_short,
    trade_paid,
    trade_unpaid,
)
from shop.bulk.waiting_walks import (
    asked,
    deposit_held,
    deposit_wanted,
    failed,
    lapsed,
    lost,
    paid_here,
    swollen,
    without_the_part,
)


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
