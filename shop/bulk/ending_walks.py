"""Walks that end, mended or not, each by a branch of the trade."""

import datetime as dt
from typing import Any

from intake import lifecycle
from intake.models import Order
from quotes import diagnosis, offers, stock
from quotes.diagnosis import Found
from quotes.models import Part
from shop.bench import repair, work
from shop.branches import comeback
from shop.bulk.bench import Bench
from shop.bulk.waiting_walks import bin_of, deposit_held, failed, home_again, lapsed, tidy, without_the_part
from shop.demo import steps
from shop.returns import out


def declined(bench: Bench) -> Order:
    order = bench.quoted()
    steps.answer(order, choice="back", at=bench.at(4, 14.25))
    return home_again(bench, order)


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
    return home_again(bench, tidy(order))


def data_only(bench: Bench) -> Order:
    choices: dict[str, Any] = {"mend": {"chance": "poor"}, "data": {"on": True, "chance": "good"}}
    order = bench.quoted(lines=bench.data_lines(), choices=choices)
    steps.answer(order, choice="data", at=bench.at(4, 14.25))
    bench.tested(bench.repaired(order), outcome="data only", symptom="bad")
    return home_again(bench, order)


def silent_then_back(bench: Bench) -> Order:
    """Lapsed; asked once more, and sent back."""
    order = lapsed(bench)
    offers.reopen(order=order, seen_version=order.version, by=bench.hands, at=bench.at(27))
    bench.quote(tidy(order), at=bench.at(27, 16))
    steps.answer(order, choice="back", at=bench.at(28))
    return home_again(bench, order, day=30)


def after_the_part(bench: Bench) -> Order:
    order = without_the_part(bench)
    bin_of(bench, 3, day=9)
    repair.parts_came(order=order, by=bench.hands, at=bench.at(9, 17.5))
    bench.tested(bench.repaired(tidy(order), day=10), day=10)
    return home_again(bench, order, day=11)


def failed_once(bench: Bench) -> Order:
    order = failed(bench)
    work.write_down(order=order, kind="repair", minutes=25, by=bench.hands, at=bench.at(6, 16))
    repair.finish(order=order, seen_version=order.version, by=bench.hands, at=bench.at(6, 16))
    bench.tested(tidy(order), day=6)
    return home_again(bench, order, day=7)


def asked_again(bench: Bench) -> Order:
    """A second quote in place of the first, and a talk about it."""
    order = bench.quoted()
    work.write_down(order=order, kind="talk", minutes=11, by=bench.hands, at=bench.at(4, 14.5))
    offers.reopen(order=order, seen_version=order.version, by=bench.hands, at=bench.at(4, 15))
    bench.quote(tidy(order), at=bench.at(4, 16), words="The part turned out to be there.")
    steps.answer(order, at=bench.at(5, 14.25))
    bench.tested(bench.repaired(order, day=6), day=6)
    return home_again(bench, order, day=7)


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
    return home_again(bench, order, day=8)


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
