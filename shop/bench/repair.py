"""Station 60: steps, parts from the bin, done, or no fix."""

import datetime as dt

from django.db import transaction

from intake import history, letters, lifecycle
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Outcome, SlipReason, Station
from quotes import billing, decisions, stock
from quotes.models import Move, Part
from shop.bench import testing, work
from shop.models import RepairStep


def lay_out_steps(order: Order) -> list[RepairStep]:
    """The steps of the agreed remedies, once; the bench ticks them and may add its own."""
    quote = decisions.agreed_quote(order)
    if quote is None:
        return []
    for line in quote.lines.filter(remedy__isnull=False).select_related("remedy"):
        for number, text in enumerate(line.remedy.steps, start=1):
            RepairStep.objects.get_or_create(
                key=f"{quote.pk}:{line.pk}:{number}", defaults={"order": order, "text": text[:200]}
            )
    return list(order.steps.select_related("by"))


@transaction.atomic
def add_step(*, order: Order, text: str, key: str, by: Person, at: dt.datetime) -> RepairStep:
    """Write a step that was done."""
    if not text.strip():
        raise Refused("Say what was done.", field="text")
    step, _ = RepairStep.objects.get_or_create(
        key=key, defaults={"order": order, "text": text.strip()[:200], "done_at": at, "by": by}
    )
    return step


@transaction.atomic
def tick(*, step: RepairStep, done: bool, by: Person, at: dt.datetime) -> RepairStep:
    """Tick a step, or take the tick off again."""
    step.done_at, step.by = (at, by) if done else (None, None)
    step.save(update_fields=["done_at", "by"])
    return step


@transaction.atomic
def use_part(
    *, order: Order, part: Part, quantity: int, key: str, by: Person, at: dt.datetime, spoiled: bool = False
) -> Move:
    """Take a part from the bin for this order. Only at 60, only after a yes."""
    if order.station != Station.REPAIR:
        raise Refused("Parts are fitted at station 60, after the go-ahead.")
    return stock.take(
        part=part, quantity=quantity, order=order, key=key, by=staff(by), at=at, spoiled=spoiled
    )


@transaction.atomic
def parts_came(*, order: Order, by: Person, at: dt.datetime) -> list[str]:
    """Try again to put the agreed parts aside; takes the slip off when none is short. Returns what is short."""
    quote = decisions.agreed_quote(order)
    if quote is None:
        raise Refused("Nothing is agreed on this order.")
    missing = decisions.put_aside(order=order, quote=quote, by=staff(by), at=at)
    if not missing:
        lifecycle.release(order, reason=SlipReason.PART, by=staff(by), at=at)
    return missing


@transaction.atomic
def finish(*, order: Order, seen_version: int, by: Person, at: dt.datetime, note: str = "") -> Order:
    """Sign 60: to the test, with its sheet laid out. Refused while a part is waited for or nothing is agreed."""
    if decisions.agreed_quote(order) is None:
        raise Refused("No repair without an agreed quote.")
    if order.slips.filter(reason=SlipReason.PART, ended_at__isnull=True).exists():
        raise Refused("A part is still waited for. Take the slip off first.")
    work.close_for(order, by=by, at=at)
    lifecycle.advance(
        order,
        to=Station.TEST,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=note
        or "Done: " + "; ".join(order.steps.filter(done_at__isnull=False).values_list("text", flat=True)),
        minutes=work.minutes_of(order, "repair"),
    )
    testing.lay_out(order=order, by=by, at=at)
    return order


@transaction.atomic
def no_fix(*, order: Order, seen_version: int, words: str, by: Person, at: dt.datetime) -> Order:
    """Give up honestly, from 60 or 70: nothing for the work, only what was told before; a plain letter."""
    quote = decisions.agreed_quote(order)
    if quote is None:
        raise Refused("No repair without an agreed quote.")
    if not words.strip():
        raise Refused("Say in plain words why it could not be mended. The customer reads it.", field="words")
    work.close_for(order, by=by, at=at)
    stock.release_all(order=order, why="no fix", by=staff(by), at=at)
    lifecycle.release(order, reason=SlipReason.PART, by=staff(by), at=at)
    lifecycle.advance(
        order,
        to=Station.GOODS_OUT,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=f"No fix. {words.strip()}",
        minutes=work.minutes_of(order, "repair"),
        outcome=Outcome.NO_FIX,
    )
    order.test_runs.filter(signed_at__isnull=True).update(signed_at=at, passed=False)
    invoice = billing.bill_return(order=order, rates=quote.rates, quote=quote, by=by, at=at, why="no fix")
    history.record(order=order, what="no fix", by=by.username, at=at, facts={"revision": quote.revision})
    letters.post(
        order=order,
        kind="no_fix",
        key=f"no_fix:{order.pk}",
        to=order.customer.email if order.customer else "",
        context={"words": words.strip(), "quote": quote, "shown": quote.shown, "invoice": invoice},
        at=at,
        papers=billing.papers_of(invoice),
    )
    return order
