"""From the typed line, and what is known of the place, to a reading as understood and the sentence that says so."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake.models import Order
from intake.refusals import Refused
from quotes import known_good
from quotes.bench_states import class_of
from quotes.diagnosis import Measured
from quotes.list_words import differ, fold
from quotes.models import Reading
from quotes.reading_text import ReadingError, ReadingLine, parse_reading
from quotes.verdicts import UNKNOWN, propose_verdict
from shop.traveller.supply import Supply, stands_as, supply_of

WAYS = {
    "ohms": "r",
    "diode": "d",
    "volts": "v",
    "amps": "a",
    "continuity": "c",
    "hertz": "hz",
    "celsius": "t",
}


@dataclass(frozen=True)
class Expectation:
    """Limits (base unit, inclusive) or a word of its own, from where, how many own good boards, and what they make of it."""

    low: Decimal | None = None
    high: Decimal | None = None
    special: str = ""
    source: str = ""
    n: int | None = None
    word: str = UNKNOWN
    why: str = ""

    @property
    def is_known(self) -> bool:
        return self.low is not None or self.high is not None or bool(self.special)


def measured_from(
    given: Mapping[str, Any], *, order: Order | None = None, phase: str = "before"
) -> tuple[Measured, str]:
    """The reading and the sentence that says how it was understood, what is expected and what it makes of it.

    `given`, all text: line, low, high, expected_from, board, revision, side, state, supply_volts, supply_amps, nominal,
    meter, verdict, verdict_why. Limits are typed like values ('4k7', '.441') in the unit of the reading, or OL where a
    good board is over limit. Raises Refused, also where a point would be fed above what it carries.
    """
    try:
        read = parse_reading(given["line"])
    except ReadingError as fault:
        raise Refused(str(fault), field="line") from fault
    given = stands_as(given, read)
    supply = supply_of(given, point=read.point, board=given.get("board", ""))
    expected = _expectation(given, read, order)
    verdict, why = _verdict(given, expected)
    measured = Measured(
        typed=given["line"].strip(),
        point=read.point[:80],
        mode=read.mode,
        value=read.value,
        special=read.special or "",
        prefix=read.prefix,
        unit=read.unit,
        polarity=read.polarity,
        meter=given.get("meter", ""),
        board=given.get("board", ""),
        revision=given.get("revision", ""),
        side=given.get("side", ""),
        state=given.get("state", ""),
        supply_volts=supply.volts,
        supply_amps=supply.amps,
        low=expected.low,
        high=expected.high,
        expected_special=expected.special,
        expected_from=expected.source[:80],
        expected_n=expected.n,
        proposed=expected.word,
        verdict=verdict,
        verdict_why=why[:200],
        phase=phase,
    )
    return measured, _sentence(read, supply, measured, expected)


def _sentence(read: ReadingLine, supply: Supply, measured: Measured, expected: Expectation) -> str:
    said = f"{measured.verdict.capitalize()}: {measured.verdict_why}"
    if measured.verdict != expected.word:
        said = f"{said} (The rule says {expected.word}.)"
    apart = "" if read.state else supply.words
    return " ".join(part for part in (read.understood, apart, said) if part)


def _verdict(given: Mapping[str, Any], expected: Expectation) -> tuple[str, str]:
    """The rule's word and reason, or the person's own where they overrule it."""
    own = given.get("verdict")
    if own and own != expected.word:
        return own, f"Overruled: {given.get('verdict_why', '')}"
    return expected.word, expected.why


def _expectation(given: Mapping[str, Any], read: ReadingLine, order: Order | None) -> Expectation:
    """Limits typed on purpose first, then own good boards, then limits typed earlier for this place on this order."""
    low, low_special = _limit(given.get("low", ""), read, "low")
    high, high_special = _limit(given.get("high", ""), read, "high")
    if low is not None and high is not None and low > high:
        raise Refused("The low limit is above the high one.", field="low")
    if low is not None or high is not None or low_special or high_special:
        source = given.get("expected_from", "")
        if not source:
            raise Refused(
                "Say where the limits come from: a schematic, another channel, or a guess.",
                field="expected_from",
            )
        return _judged(read, Expectation(low, high, low_special or high_special or "", source))
    own = _own_boards(given, read, order)
    if own.is_known:
        return own
    earlier = _typed_earlier(given, read, order)
    return _judged(read, earlier) if earlier else own


def _own_boards(given: Mapping[str, Any], read: ReadingLine, order: Order | None) -> Expectation:
    judged = known_good.judge(
        board=given.get("board", ""),
        revision=given.get("revision", ""),
        point=read.point,
        state=given.get("state", ""),
        mode=read.mode,
        polarity=read.polarity,
        meter=given.get("meter", ""),
        value=read.value,
        special=read.special or "",
        at_order=order,
    )
    return Expectation(
        judged.low,
        judged.high,
        judged.expected_special,
        judged.expected_from,
        judged.n,
        judged.word,
        judged.why,
    )


def _typed_earlier(given: Mapping[str, Any], read: ReadingLine, order: Order | None) -> Expectation | None:
    """Limits are typed once a place: the reading after the repair is judged by those of the one before it.

    Another board, or a board that stood otherwise, is another place; where one of them says nothing, it is the same.
    """
    if order is None:
        return None
    here = order.readings.filter(
        superseded_by__isnull=True,
        point__iexact=read.point,
        mode=read.mode,
        polarity=read.polarity,
        expected_n__isnull=True,
    )
    board, state = fold(given.get("board", "")), class_of(given.get("state", ""), read.mode)
    for row in here.order_by("-pk"):
        if differ(board, fold(row.board)) or differ(state, class_of(row.state, row.mode)):
            continue
        if row.low is not None or row.high is not None or row.expected_special:
            return Expectation(row.low, row.high, row.expected_special, row.expected_from)
    return None


def _judged(read: ReadingLine, expected: Expectation) -> Expectation:
    verdict = propose_verdict(
        read.value,
        read.special,
        expected.low,
        expected.high,
        mode=read.mode,
        expected_special=expected.special or None,
        expected_from=expected.source,
    )
    return Expectation(
        expected.low, expected.high, expected.special, expected.source, None, verdict.word, verdict.why
    )


def _limit(text: str, read: ReadingLine, field: str) -> tuple[Decimal | None, str | None]:
    if not text.strip():
        return None, None
    try:
        limit = parse_reading(f"limit {WAYS[read.mode]} {text}")
    except ReadingError as fault:
        raise Refused(
            f"{text[:20]} is not a limit for {read.mode}. Write a number, or OL.", field=field
        ) from fault
    if limit.point != "limit" or limit.special == "unstable":
        raise Refused(f"{text[:20]} is not a limit. Write a number, or OL.", field=field)
    return limit.value, limit.special


def line_to(reading: Reading) -> str:
    """The line up to its value, to measure the same place the same way again."""
    way = WAYS.get(reading.mode, "v")
    if reading.mode == "diode" and reading.polarity.startswith("black"):
        way = "db"
    return f"{reading.point} {way} "
