"""Readings before and after the repair, side by side, each place ready to be measured again."""

import secrets
from typing import Any

from intake.models import Order
from quotes import reading_words
from quotes.models import Reading
from quotes.verdicts import OK, UNKNOWN

WAYS = {
    "ohms": "r",
    "diode": "d",
    "volts": "v",
    "amps": "a",
    "continuity": "c",
    "hertz": "hz",
    "celsius": "t",
}
OPEN_EXPECTED = "OL expected"


def before_and_after(order: Order) -> list[dict[str, Any]]:
    """One row a place (point, mode, polarity), in the order they were first measured; the newest reading of each phase."""
    places: dict[tuple[str, str, str], dict[str, Reading]] = {}
    for reading in order.readings.filter(superseded_by__isnull=True):
        place = (reading.point.casefold(), reading.mode, reading.polarity)
        places.setdefault(place, {})[reading.phase] = reading
    return [_row(found.get("before"), found.get("after")) for found in places.values()]


def _row(before: Reading | None, after: Reading | None) -> dict[str, Any]:
    last = after or before
    assert last is not None
    # Limits are typed once, mostly before; the new reading is judged by them unless it brought its own.
    limits = next(
        (one for one in (after, before) if one and (one.low is not None or one.high is not None)), last
    )
    open_expected = limits.expected_from.startswith(OPEN_EXPECTED)
    return {
        "last": last,
        "before": _read(before),
        "after": _read(after),
        "after_pk": after.pk if after else "",
        "verdict": after.verdict if after else "",
        "out": bool(after and after.verdict not in ("", OK, UNKNOWN)),
        "should_be": reading_words.should_be(limits.low, limits.high, limits.prefix, limits.unit)
        or ("OL" if open_expected else ""),
        "typed": f"{last.point} {_way(last)} ",
        "low": "OL" if open_expected else _plain(limits.low),
        "high": _plain(limits.high),
        "source": limits.expected_from.removeprefix(OPEN_EXPECTED).removeprefix(", "),
        "key": secrets.token_urlsafe(24),
    }


def _way(reading: Reading) -> str:
    way = WAYS.get(reading.mode, "v")
    return "db" if reading.mode == "diode" and reading.polarity.startswith("black") else way


def _read(reading: Reading | None) -> str:
    if reading is None:
        return ""
    return reading_words.amount(reading.value, reading.special, reading.prefix, reading.unit)


def _plain(limit: Any) -> str:
    return "" if limit is None else f"{limit.normalize():f}"
