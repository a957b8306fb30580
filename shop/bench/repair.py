"""Station 60: steps, parts from the bin, done, or no fix."""

import datetime as dt
from collections.abc import Collection

from django.db.models import Sum

from intake import history, letters, lifecycle, wording
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Outcome, SlipReason, Station
from quotes import billing, decisions, deposits, diagnosis, offers, stock
from quotes.agreed import agreed_lines
from quotes.diagnosis import Found
from quotes.models import Lot, Move, Part, QuoteLine, Remedy
from shop.bench import testing, work
from shop.models import RepairStep


def lay_out_steps(order: Order) -> list[RepairStep]:
    """The steps of the agreed remedies, once; the bench ticks them and may add its own."""
    for key, text, remedy in _agreed(order):
        given = {"order": order, "text": text, "remedy": remedy}
        RepairStep.objects.get_or_create(key=key, defaults=given)
    return list(order.steps.select_related("by", "remedy"))


def _agreed(order: Order) -> list[tuple[str, str, Remedy]]:
    """Key, text and remedy of each step of the agreed remedies."""
    quote = decisions.agreed_quote(order)
    lines = agreed_lines(quote.decision) if quote else []
    return [
        (step_key(line, number), text[:200], line.remedy)
        for line in lines
        if line.remedy is not None
        for number, text in enumerate(line.remedy.steps, start=1)
    ]


def step_key(line: QuoteLine, number: int) -> str:
    """The key of a step of an agreed line: the first step of its remedy has number 1."""
    return f"{line.quote_id}:{line.pk}:{number}"


@in_turn
def add_step(*, order: Order, text: str, key: str, by: Person, at: dt.datetime) -> RepairStep:
    """Write a step that was done."""
    if not text.strip():
        raise Refused("Say what was done.", field="text")
    step, _ = RepairStep.objects.get_or_create(
        key=key, defaults={"order": order, "text": text.strip()[:200], "done_at": at, "by": by}
    )
    return step


@in_turn
def tick(*, step: RepairStep, done: bool, by: Person, at: dt.datetime) -> RepairStep:
    """Tick a step, or take the tick off again; whose tick it was stays in the history."""
    if not done and step.by is not None:
        facts = {"step": step.text, "ticked by": step.by.username, "ticked at": step.done_at}
        history.record(order=step.order, what="step not done", by=by.username, at=at, facts=facts)
    step.done_at, step.by = (at, by) if done else (None, None)
    step.save(update_fields=["done_at", "by"])
    return step


def steps_of(order: Order) -> list[RepairStep]:
    """The steps as they stand, those of the agreed remedies among them before anybody ticked one. Writes nothing."""
    written = {step.key: step for step in order.steps.select_related("by", "remedy")}
    agreed = [
        written.pop(key, None) or RepairStep(order=order, key=key, text=text, remedy=remedy)
        for key, text, remedy in _agreed(order)
    ]
    return [*agreed, *written.values()]


@in_turn
def tick_these(*, order: Order, keys: Collection[str], by: Person, at: dt.datetime) -> int:
    """Exactly these steps of the order are done; a step whose tick does not change keeps its hand. Returns how many."""
    if order.station != Station.REPAIR:
        raise lifecycle.SheetMoved("This station was signed meanwhile. Here is how the sheet stands now.")
    lay_out_steps(order)
    for step in order.steps.all():
        if (step.key in keys) != (step.done_at is not None):
            tick(step=step, done=step.key in keys, by=by, at=at)
    return order.steps.filter(done_at__isnull=False).count()


def _still_here(order: Order) -> bool:
    """Whether the order stands at 60 now, not when the page was drawn."""
    return Order.objects.filter(pk=order.pk, station=Station.REPAIR).exists()


@in_turn
def use_part(
    *,
    order: Order,
    part: Part,
    quantity: int,
    key: str,
    by: Person,
    at: dt.datetime,
    spoiled: bool = False,
    why: str = "",
    lot: Lot | None = None,
) -> Move:
    """Take a part from the bin for this order, of `lot` or a loose one. Only at 60, only after a yes."""
    if not _still_here(order):
        raise Refused("Parts are fitted at station 60, after the go-ahead.")
    return stock.take(
        part=part, quantity=quantity, order=order, key=key, by=staff(by), at=at, spoiled=spoiled, why=why, lot=lot
    )  # fmt: skip


@in_turn
def put_back(*, move: Move, by: Person, at: dt.datetime) -> Move:
    """A part fitted by mistake goes back into its bin, once. Only while the order is at 60."""
    order = move.order
    if order is None or not _still_here(order):
        raise Refused("Parts are put back at station 60.")
    key = f"back:{move.pk}"
    if Move.objects.filter(key=key).exists():
        raise Refused("That one was put back already.")
    history.record(order=order, what="part put back", by=by.username, at=at, facts={"part": move.part.number})
    return stock.give_back(move=move, key=key, by=staff(by), at=at)


@in_turn
def spoil_fitted(*, move: Move, why: str, key: str, by: Person, at: dt.datetime) -> Move:
    """A part that was fitted came off again and is no good: back into its bin and written off, in one deed."""
    order = move.order
    if (known := Move.objects.filter(key=key).first()) is not None:
        return known
    if order is None:
        raise Refused("That part was not fitted on an order.")
    put_back(move=move, by=by, at=at)
    return use_part(
        order=order, part=move.part, quantity=-move.on_hand_change, key=key, by=by, at=at, spoiled=True, why=why,
        lot=move.lot,
    )  # fmt: skip


def untold(order: Order, part: Part) -> bool:
    """Whether a part that is not new goes on a board whose quote did not say so."""
    if part.condition == Part.Condition.NEW:
        return False
    quote = decisions.agreed_quote(order)
    lines = agreed_lines(quote.decision) if quote else []
    return not any(line.part_id == part.pk and line.condition for line in lines)


def beyond_agreed(order: Order, part: Part) -> tuple[int, int]:
    """How many of a part are on the board now, and how many the quote names."""
    quote = decisions.agreed_quote(order)
    lines = agreed_lines(quote.decision) if quote else []
    named = sum(int(line.quantity) for line in lines if line.part_id == part.pk)
    fitted = order.moves.filter(part=part, kind=Move.Kind.CONSUME).aggregate(sum=Sum("on_hand_change"))["sum"]
    return -(fitted or 0), named


@in_turn
def second_fault(
    *, order: Order, seen_version: int, found: Found, key: str, by: Person, at: dt.datetime
) -> Order:
    """A second fault goes to 40 for a price of its own; what was agreed before stands. Minutes stop."""
    finding = diagnosis.second_finding(order=order, found=found, key=key, by=by, at=at)
    work.close_for(order, by=by, at=at)
    return offers.second_fault(order=order, seen_version=seen_version, found=finding, by=by, at=at)


@in_turn
def parts_came(*, order: Order, by: Person, at: dt.datetime) -> list[str]:
    """Try again to put the agreed parts aside; takes the slip off when none is short. Returns what is short."""
    quote = decisions.agreed_quote(order)
    if quote is None:
        raise Refused("Nothing is agreed on this order.")
    missing = stock.put_aside(order=order, quote=quote, by=staff(by), at=at)
    if not missing:
        lifecycle.release(order, reason=SlipReason.PART, by=staff(by), at=at)
    return missing


@in_turn
def finish(
    *, order: Order, seen_version: int, by: Person, at: dt.datetime, note: str = "", anyway: str = ""
) -> Order:
    """Sign 60: to the test, with its sheet laid out. Refused while a part is waited for or nothing is agreed.

    `anyway` is why it is signed with steps or parts left undone; without it that is refused. The history keeps it.
    """
    if decisions.agreed_quote(order) is None:
        raise Refused("No repair without an agreed quote.")
    if order.slips.filter(reason=SlipReason.PART, ended_at__isnull=True).exists():
        raise Refused("A part is still waited for. Take the slip off first.")
    if order.slips.filter(reason=SlipReason.PAYMENT, ended_at__isnull=True).exists() and deposits.wanted(
        order
    ):
        raise Refused("The deposit is still to come. Book it, or take the slip off first.")
    # A signature that comes late is told that the sheet moved on, not what was left undone.
    if Order.objects.filter(pk=order.pk, station=Station.REPAIR, version=seen_version).exists():
        _nothing_undone(order, anyway, by, at)
    work.close_for(order, by=by, at=at)
    lifecycle.advance(
        order,
        to=Station.TEST,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=note or anyway.strip() or _done_words(order),
        minutes=work.minutes_of(order, "repair"),
    )
    testing.lay_out(order=order, by=by, at=at)
    return order


def undone_words(order: Order) -> str:
    """'1 part put aside is not fitted, 6 steps are not ticked.'; "" where all is done."""
    pieces = sum(stock.set_aside(order).values())
    steps = sum(step.done_at is None for step in steps_of(order))
    said = [
        f"{wording.count(pieces, 'part put aside is', 'parts put aside are')} not fitted" if pieces else "",
        f"{wording.count(steps, 'step is', 'steps are')} not ticked" if steps else "",
    ]
    words = ", ".join(one for one in said if one)
    return f"{words}." if words else ""


def _nothing_undone(order: Order, anyway: str, by: Person, at: dt.datetime) -> None:
    undone = undone_words(order)
    if not undone:
        return
    if not anyway.strip():
        raise Refused(f"{undone} Sign all the same, and say why.", field="note")
    facts = {"undone": undone, "why": anyway.strip()[:400]}
    history.record(order=order, what="signed undone", by=by.username, at=at, facts=facts)


def _done_words(order: Order) -> str:
    done = order.steps.filter(done_at__isnull=False).values_list("text", flat=True)
    return f"Done: {'; '.join(done)}" if done else "The work is done; no steps were listed."


@in_turn
def no_fix(*, order: Order, seen_version: int, words: str, by: Person, at: dt.datetime) -> Order:
    """Give up honestly, from 60 or 70: nothing for the work, only what was told before; a plain letter."""
    quote = decisions.agreed_quote(order)
    if quote is None:
        raise Refused("No repair without an agreed quote.")
    lifecycle.must_stand_at(order, Station.REPAIR, Station.TEST)
    if not words.strip():
        raise Refused("Say in plain words why it could not be mended. The customer reads it.", field="words")
    kind = "test" if order.station == Station.TEST else "repair"
    work.close_for(order, by=by, at=at)
    stock.release_all(order=order, why="no fix", by=staff(by), at=at)
    for waits in (SlipReason.PART, SlipReason.PAYMENT):
        lifecycle.release(order, reason=waits, by=staff(by), at=at)
    lifecycle.advance(
        order,
        to=Station.GOODS_OUT,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=f"No fix. {words.strip()}",
        minutes=work.minutes_of(order, kind),
        outcome=Outcome.NO_FIX,
    )
    order.test_runs.filter(signed_at__isnull=True).update(signed_at=at, passed=False)
    invoice = billing.bill_return(order=order, rates=quote.rates, quote=quote, by=by, at=at, why="no fix")
    history.record(order=order, what="no fix", by=by.username, at=at, facts={"revision": quote.revision})
    letters.tell(
        order,
        kind="no_fix",
        ref=order.pk,
        at=at,
        papers=billing.papers_of(invoice),
        words=words.strip(),
        quote=quote,
        shown=quote.shown,
        invoice=invoice,
    )
    return order
