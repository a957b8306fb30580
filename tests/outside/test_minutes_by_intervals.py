"""Clocked minutes beside an independent count: every second that somebody was at it, one by one, in sets.

Method: a person's work is the set of whole seconds since a beginning (a union of stretches, no arithmetic with ends);
minutes are the size of the sets of both persons, rounded up to whole minutes with decimal arithmetic. It shares no
code with `shop.bench.minute_maths`. No published values; the method is school arithmetic.
"""

from collections import defaultdict
from datetime import UTC, datetime, timedelta
from decimal import ROUND_CEILING, Decimal
from random import Random

import pytest

from intake.refusals import Refused
from shop.bench import work
from shop.bench.mending import mend
from shop.models import WorkSession
from tests import walk

# The second before the clocks went back in New York on 1 November 2026 (tz database): times on the wall repeat.
BEGINNING = datetime(2026, 11, 1, 5, 0, tzinfo=UTC)
KINDS = ("look", "repair", "test")
STEPS = 40


class Counter:
    """What each person does in each second, written down as it is done."""

    def __init__(self):
        self.open = {}
        self.done = []

    def start(self, who, order, kind, second):
        held = self.open.get(who)
        if held and held[:2] == (order, kind):
            return
        self.stop(who, second)
        self.open[who] = (order, kind, second)

    def stop(self, who, second):
        if held := self.open.pop(who, None):
            self.done.append([who, *held, second])

    def minutes(self):
        """By order and kind; a pair that was begun at all counts at least one."""
        seconds, begun = defaultdict(set), set()
        for who, order, kind, first, last in self.done:
            begun.add((order, kind))
            seconds[order, kind] |= {(who, second) for second in range(first, last)}
        return {
            pair: max(1, int((Decimal(len(seconds[pair])) / 60).to_integral_value(ROUND_CEILING)))
            for pair in begun
        }

    def overlaps(self):
        """Whether one person is at two things in one second."""
        seen = [(who, second) for who, _, _, first, last in self.done for second in range(first, last)]
        return len(seen) != len(set(seen))


def a_mend(random, counter, by, now, at):
    """Move one ended stretch; it holds in both counts, or in neither."""
    row = random.choice(counter.done)
    old = list(row)
    begin = max(0, row[3] + random.randint(-90, 90))
    end = begin + random.randint(0, 200)
    session = next(
        one
        for one in WorkSession.objects.filter(by=by[row[0]], order__code=row[1], kind=row[2])
        if one.started_at == at(row[3]) and one.ended_at == at(row[4])
    )
    row[3:] = [begin, end]
    try:
        mend(
            session=session, started_at=at(begin), ended_at=at(end), why="Mended", by=by["owner"], at=at(now)
        )
    except Refused:
        row[3:] = old[3:]
    else:
        assert not counter.overlaps()


@pytest.mark.parametrize("seed", range(12))
def test_minutes_are_those_of_an_independent_count_of_seconds(bench, at, seed):
    random, counter, now = Random(seed), Counter(), 0
    by = {"owner": bench.owner, "technician": bench.technician}
    orders = {order.code: order for order in (walk.request(at=at) for _ in range(3))}

    def moment(second):
        return BEGINNING + timedelta(seconds=second)

    for _ in range(STEPS):
        now += random.choice([0, 1, 5, 59, 60, 61, 400])
        who, code, kind = random.choice(list(by)), random.choice(list(orders)), random.choice(KINDS)
        match random.randrange(6):
            case 0 | 1 | 2:
                work.start(order=orders[code], kind=kind, by=by[who], at=moment(now))
                counter.start(who, code, kind, now)
            case 3 | 4:
                work.stop(by=by[who], at=moment(now))
                counter.stop(who, now)
            case _ if counter.done:
                a_mend(random, counter, by, now, moment)
    for who in by:
        work.stop(by=by[who], at=moment(now + 30))
        counter.stop(who, now + 30)
    counted = {
        (code, kind): minutes
        for code, order in orders.items()
        for kind in KINDS
        if (minutes := work.minutes_of(order, kind))
    }
    assert counted == counter.minutes()
    assert not counter.overlaps()
