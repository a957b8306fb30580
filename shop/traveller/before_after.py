"""Readings before and after the repair, side by side."""

from collections.abc import Iterable
from typing import Any

from quotes import reading_words
from quotes.models import Reading
from quotes.verdicts import OK, UNKNOWN
from shop.bench.test_rows import same_place


def before_and_after(standing: Iterable[Reading]) -> list[dict[str, Any]]:
    """One row a place (board, point, mode, polarity), in the order they were first measured; the newest reading of each phase.

    `standing`: the readings of one order that nothing replaced, the oldest first.
    """
    places: list[dict[str, Reading]] = []
    for reading in standing:
        here = next(
            (place for place in places if all(same_place(one, reading) for one in place.values())), None
        )
        if here is None:
            places.append({reading.phase: reading})
        else:
            here[reading.phase] = reading
    return [_row(found.get("before"), found.get("after")) for found in places]


def _row(before: Reading | None, after: Reading | None) -> dict[str, Any]:
    last = after or before
    assert last is not None
    # Limits are known once, mostly before: they stand beside both unless the new reading brought its own.
    limits = next((one for one in (after, before) if one and _has_limits(one)), last)
    return {
        "last": last,
        "before": _read(before),
        "after": _read(after),
        "verdict": after.verdict if after else "",
        "out": bool(after and after.verdict not in ("", OK, UNKNOWN)),
        "should_be": reading_words.should_be(limits.low, limits.high, limits.prefix, limits.unit)
        or limits.expected_special,
        "source": limits.expected_from,
    }


def _has_limits(reading: Reading) -> bool:
    return reading.low is not None or reading.high is not None or bool(reading.expected_special)


def _read(reading: Reading | None) -> str:
    if reading is None:
        return ""
    return reading_words.amount(reading.value, reading.special, reading.prefix, reading.unit)
