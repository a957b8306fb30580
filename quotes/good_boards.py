"""Good boards kept apart: what they read, taken and struck; the meters of the bench, and by how much each reads too high."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from intake import history
from intake.history import in_turn
from intake.models import Person
from quotes import word_lists
from quotes.list_words import fold
from quotes.models import GoodReading, Meter, MeterOffset
from quotes.reading_text import UNITS, ReadingError, ReadingLine, parse_reading
from quotes.refusals import Refused

# How a way is typed in a line.
WAYS = {
    "ohms": "r", "diode": "d", "volts": "v", "amps": "a", "continuity": "c", "hertz": "hz", "celsius": "t",
}  # fmt: skip


@dataclass(frozen=True)
class GoodLine:
    """What stays from line to line, as typed: which good board, what it is, how it stands, which meter."""

    specimen: str
    board: str
    revision: str = ""
    state: str = ""
    meter: str = ""


def understand(line: str) -> ReadingLine:
    """One typed line. Raises Refused at 'line' where it is not understood, or tells nothing of a good board."""
    try:
        read = parse_reading(line)
    except ReadingError as fault:
        raise Refused(str(fault), field="line") from fault
    if read.special == "unstable":
        raise Refused("A reading that does not stand still says nothing of a good board.", field="line")
    return read


@in_turn
def take_good(*, about: GoodLine, line: str, key: str, by: Person, at: dt.datetime) -> GoodReading:
    """Write a reading of a good board; a state in the line goes before the one that stayed. The same key writes once.

    Raises Refused for a line that is not understood, and without a specimen, a board or a point.
    """
    known = GoodReading.objects.filter(key=key).first()
    if known is not None:
        return known
    read = understand(line)
    if not fold(about.specimen):
        raise Refused("Say which good board it is: its label.", field="specimen")
    if not fold(about.board):
        raise Refused("Say which board it is, as its print says.", field="board")
    row = GoodReading.objects.create(
        key=key, specimen=about.specimen, board=about.board, revision=about.revision, point=read.point[:80],
        state=(read.state or about.state)[:60], mode=read.mode, polarity=read.polarity, meter=about.meter,
        value=read.value, special=read.special or "", prefix=read.prefix, unit=read.unit,
        typed=line.strip()[:120], at=at, by=by,
    )  # fmt: skip
    word_lists.learn_reading(board=row.board, revision=row.revision, point=row.point, by=by, at=at)
    facts = {"board": row.board, "point": row.point, "typed": row.typed, "specimen": row.specimen}
    history.record(order=None, what="good reading", by=by.username, at=at, facts=facts)
    return row


@in_turn
def strike(*, row: GoodReading, why: str, by: Person, at: dt.datetime) -> GoodReading:
    """Strike a reading: it stays and counts no more. Raises Refused without a reason, or where it is struck."""
    if not why.strip():
        raise Refused("Say why it does not count.", field="why")
    struck = GoodReading.objects.filter(pk=row.pk, struck_at__isnull=True).update(
        struck_at=at, struck_why=why.strip()[:200]
    )
    if not struck:
        raise Refused("It was struck already.", field="why")
    facts = {"board": row.board, "point": row.point, "specimen": row.specimen, "why": why.strip()[:200]}
    history.record(order=None, what="good reading struck", by=by.username, at=at, facts=facts)
    row.refresh_from_db()
    return row


@in_turn
def add_meter(*, name: str, note: str, by: Person, at: dt.datetime) -> Meter:
    """A meter of the bench. Raises Refused for an empty name, or one that another meter has in any spelling."""
    plain = " ".join(name.split())[:40]
    if not fold(plain):
        raise Refused("Give the meter a name, as it stands on its label.", field="name")
    if any(fold(other) == fold(plain) for other in Meter.objects.values_list("name", flat=True)):
        raise Refused("There is a meter of that name.", field="name")
    row = Meter.objects.create(name=plain, note=note.strip()[:200])
    history.record(order=None, what="meter", by=by.username, at=at, facts={"meter": plain})
    return row


@in_turn
def set_active(*, meter: Meter, active: bool, by: Person, at: dt.datetime) -> Meter:
    """Put a meter out of use, or back; its readings and offsets stay."""
    if meter.active != active:
        meter.active = active
        meter.save(update_fields=["active"])
        facts = {"meter": meter.name, "active": active}
        history.record(order=None, what="meter", by=by.username, at=at, facts=facts)
    return meter


@in_turn
def set_offset(
    *, meter: Meter, mode: str, amount: Decimal, why: str, by: Person, at: dt.datetime
) -> MeterOffset:
    """By how much it reads too high in a mode from now on, in the base unit, below nought where it reads too low.

    A new row; the newest holds. Raises Refused without a reason, for an unknown mode, or where nothing is different.
    """
    if mode not in UNITS:
        raise Refused("Choose the way it measures.", field="mode")
    if not why.strip():
        raise Refused("Say how it was found out.", field="why")
    newest = meter.offsets.filter(mode=mode).order_by("-since", "-id").first()
    if newest is not None and newest.amount == amount:
        raise Refused("That is the offset it has already.", field="amount")
    row = MeterOffset.objects.create(
        meter=meter, mode=mode, amount=amount, why=why.strip()[:200], since=at, by=by
    )
    facts = {"meter": meter.name, "mode": mode, "amount": f"{amount:f}", "why": row.why}
    history.record(order=None, what="meter offset", by=by.username, at=at, facts=facts)
    return row


def offset_from(text: str, mode: str) -> Decimal:
    """A typed offset in the base unit: '3m', '-0.002', '0.2 ohm'. Raises Refused at 'amount'."""
    typed = text.strip().replace("\u2212", "-").replace("\u2013", "-")
    sign, bare = (-1, typed[1:]) if typed.startswith("-") else (1, typed.removeprefix("+"))
    try:
        read = parse_reading(f"offset {WAYS[mode]} {bare}")
    except ReadingError as fault:
        raise Refused(f"{text[:20]!r} is not a number for {mode}.", field="amount") from fault
    if read.value is None or read.point != "offset":
        raise Refused(f"{text[:20]!r} is not a number for {mode}.", field="amount")
    return sign * read.value
