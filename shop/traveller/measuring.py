"""From the typed line and its limits to a reading as understood, with the verdict the rule proposes."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from intake.refusals import Refused
from quotes.diagnosis import Measured
from quotes.reading_text import ReadingError, ReadingLine, parse_reading
from quotes.verdicts import propose_verdict

_WORDS = {
    "ohms": "r",
    "diode": "d",
    "volts": "v",
    "amps": "a",
    "continuity": "c",
    "hertz": "hz",
    "celsius": "t",
}


def measured_from(given: Mapping[str, Any]) -> tuple[Measured, str]:
    """The reading and the sentence that says how it was understood.

    `given`: line, low, high, expected_from, state, meter, board, verdict, verdict_why, phase; all text. Limits are typed
    like values ('4k7', '.441') in the unit of the reading, or OL where a good board is over limit. Raises Refused.
    """
    try:
        read = parse_reading(given["line"])
    except ReadingError as fault:
        raise Refused(str(fault), field="line") from fault
    low, low_special = _limit(given.get("low", ""), read, "low")
    high, high_special = _limit(given.get("high", ""), read, "high")
    if low is not None and high is not None and low > high:
        raise Refused("The low limit is above the high one.", field="low")
    special = low_special or high_special
    verdict, why = _verdict(given, read, low, high, special)
    expected = (f"{special} expected" if special else "", given.get("expected_from", ""))
    measured = Measured(
        typed=given["line"].strip(),
        point=read.point[:80],
        mode=read.mode,
        value=read.value,
        special=read.special or "",
        prefix=read.prefix,
        unit=read.unit,
        polarity=read.polarity,
        state=given.get("state", ""),
        meter=given.get("meter", ""),
        board=given.get("board", ""),
        low=low,
        high=high,
        expected_from=", ".join(word for word in expected if word)[:80],
        verdict=verdict[:20],
        verdict_why=why[:200],
        phase=given.get("phase") or "before",
    )
    return measured, f"{read.understood} {verdict.capitalize()}: {why}"


def _verdict(
    given: Mapping[str, Any],
    read: ReadingLine,
    low: Decimal | None,
    high: Decimal | None,
    special: str | None,
) -> tuple[str, str]:
    """The rule's word and reason, or the person's own where they overrule it."""
    proposed = propose_verdict(
        read.value,
        read.special,
        low,
        high,
        mode=read.mode,
        expected_special=special,
        expected_from=given.get("expected_from", ""),
    )
    own = given.get("verdict")
    if own and own != proposed.word:
        return own, f"Overruled: {given.get('verdict_why', '')}"
    return proposed.word, proposed.why


def _limit(text: str, read: ReadingLine, field: str) -> tuple[Decimal | None, str | None]:
    if not text.strip():
        return None, None
    try:
        limit = parse_reading(f"limit {_WORDS[read.mode]} {text}")
    except ReadingError as fault:
        raise Refused(
            f"{text[:20]} is not a limit for {read.mode}. Write a number, or OL.", field=field
        ) from fault
    if limit.point != "limit" or limit.special == "unstable":
        raise Refused(f"{text[:20]} is not a limit. Write a number, or OL.", field=field)
    return limit.value, limit.special
