"""What a reading means beside what is expected: proposed by rule, for a person to overrule with a reason.

With red on ground a value near nought is a short, over limit is open, lower than a good board is a leak, higher is a high
resistance (public electronics questions and answers, secondary). A short is relative to the test point: the twentieth part
below is common practice, no source.
"""

from dataclasses import dataclass
from decimal import Decimal

OK, LOW, HIGH, SHORT, OPEN, UNSTABLE = "ok", "low", "high", "short", "open", "unstable"
UNKNOWN = "no own reading yet"

_SHORT_SHARE = Decimal(1) / Decimal(20)
# Meters beep below some tens of ohms; a whole way has a few. Common practice, no source.
_BEEPS_BELOW = Decimal(10)


@dataclass(frozen=True)
class Verdict:
    """word: ok, low, high, short, open, unstable, or 'no own reading yet'; `why` is one sentence."""

    word: str
    why: str


def propose_verdict(
    value: Decimal | None,
    special: str | None,
    low: Decimal | None,
    high: Decimal | None,
    *,
    mode: str = "ohms",
    expected_special: str | None = None,
    expected_from: str = "",
) -> Verdict:
    """Judge a reading. `value`, `low` and `high` are in one base unit, limits inclusive, None for a side without one;
    `special` and `expected_special` are 'OL', 'beep' or 'unstable'; `expected_from` says where the expectation comes from.

    Raises ValueError unless exactly one of value and special is given, or where low is above high.
    """
    if (value is None) == (not special):
        raise ValueError("a reading is a number or one of OL, beep, unstable")
    if low is not None and high is not None and low > high:
        raise ValueError("the low limit is above the high one")
    source = f" ({expected_from})" if expected_from else ""
    if special == "unstable":
        return Verdict(UNSTABLE, "It does not stand still: clean the point, or look for a loose joint.")
    if low is None and high is None and not expected_special:
        return Verdict(UNKNOWN, "There is nothing to compare it with yet.")
    if special is not None and special == expected_special:
        return Verdict(OK, f"{special} is expected here{source}.")
    if special == "OL":
        return Verdict(
            OPEN, f"Over limit, where {_expected(low, high, expected_special)} is expected{source}."
        )
    if special == "beep" and high is not None and high <= _BEEPS_BELOW and mode == "continuity":
        return Verdict(OK, f"It beeps, as {_expected(low, high, None)} ohm does{source}.")
    if special == "beep":
        return Verdict(
            SHORT, f"It beeps, where {_expected(low, high, expected_special)} is expected{source}."
        )
    assert value is not None  # noqa: S101 -- for the type checker; the first test has settled it
    if low is None and high is None:
        return _against_special(value, str(expected_special), mode, source)
    return _against_limits(value, low, high, mode, source)


def limits(nominal: Decimal, percent: Decimal) -> tuple[Decimal, Decimal]:
    """The inclusive limits of a nominal value and a tolerance in percent, in the unit of the nominal."""
    part = abs(nominal) * percent / 100
    return nominal - part, nominal + part


def _against_special(value: Decimal, expected: str, mode: str, source: str) -> Verdict:
    if expected == "OL":
        if value == 0 and mode in ("ohms", "diode", "continuity"):
            return Verdict(SHORT, f"Nought where a good board is over limit{source}.")
        return Verdict(LOW, f"{value:f} where a good board is over limit{source}: something leads there.")
    if mode == "continuity" and value <= _BEEPS_BELOW:
        return Verdict(OK, f"{value:f} ohm is as good as a beep{source}.")
    return Verdict(HIGH, f"{value:f} where it should beep{source}: the way is not whole.")


def _against_limits(
    value: Decimal, low: Decimal | None, high: Decimal | None, mode: str, source: str
) -> Verdict:
    expected = _expected(low, high, None)
    if low is not None and value < low:
        if mode in ("ohms", "diode") and value <= low * _SHORT_SHARE:
            return Verdict(SHORT, f"{value:f} is next to nought beside {expected}{source}.")
        return Verdict(LOW, f"{value:f} is below {expected}{source}.")
    if high is not None and value > high:
        return Verdict(HIGH, f"{value:f} is above {expected}{source}.")
    return Verdict(OK, f"{value:f} lies within {expected}{source}.")


def _expected(low: Decimal | None, high: Decimal | None, special: str | None) -> str:
    if low is not None and high is not None:
        return f"{low:f} to {high:f}"
    if low is not None:
        return f"{low:f} or more"
    if high is not None:
        return f"{high:f} or less"
    return {"OL": "over limit", "beep": "a beep"}.get(str(special), str(special))
