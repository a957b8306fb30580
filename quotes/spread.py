"""What is normal at a test point: the middle of the good readings, their spread, and the limits made of both. Pure.

Robust, since one mistyped good reading must not move the limits. MAD is scaled by 1.4826 = 1/Phi^-1(3/4), so that it
estimates the standard deviation of a normal sample (Rousseeuw and Croux 1993, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

# 1/Phi^-1(3/4) to twenty places.
NORMAL = Decimal("1.48260221850560186054")
WIDTH = Decimal(3)

# Never narrower than this on either side: a share of the middle, and what the range and the leads leave uncertain, in the
# base unit. Common practice, no source.
_FLOORS: dict[str, tuple[Decimal, Decimal]] = {
    "diode": (Decimal("0.03"), Decimal("0.005")),
    "ohms": (Decimal("0.10"), Decimal("0.2")),
    "volts": (Decimal("0.02"), Decimal("0.01")),
    "amps": (Decimal("0.15"), Decimal("0.003")),
    "hertz": (Decimal("0.0005"), Decimal("1")),
    "celsius": (Decimal(0), Decimal(5)),
    "continuity": (Decimal("0.10"), Decimal(1)),
}
_SHORT_SHARE = Decimal(1) / Decimal(20)
_NEVER_BELOW_NOUGHT = ("ohms", "diode", "hertz", "continuity")


@dataclass(frozen=True)
class Limits:
    """The middle and the inclusive limits, in the base unit; `mad` is scaled to a standard deviation."""

    median: Decimal
    mad: Decimal
    low: Decimal
    high: Decimal
    by_floor: bool


def median(values: Sequence[Decimal]) -> Decimal:
    """The middle value, or the mean of the two in the middle. Raises ValueError for none."""
    if not values:
        raise ValueError("there is no middle of nothing")
    ordered, half = sorted(values), len(values) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def scaled_mad(values: Sequence[Decimal]) -> Decimal:
    """The median distance from the median, times 1.4826. Raises ValueError for none."""
    middle = median(values)
    return median([abs(value - middle) for value in values]) * NORMAL


def limits_of(values: Sequence[Decimal], mode: str) -> Limits:
    """Median plus and minus three scaled MAD, never narrower than the floor of the mode.

    The low limit stays above the short line (a twentieth of the middle) in ohms and diode mode: however wide the good boards
    spread, a short is none of them. Raises ValueError for no value, KeyError for an unknown mode.
    """
    middle, mad = median(values), scaled_mad(values)
    share, least = _FLOORS[mode]
    floor = max(abs(middle) * share, least)
    width = max(WIDTH * mad, floor)
    low = middle - width
    if mode in ("ohms", "diode"):
        low = max(low, middle * _SHORT_SHARE)
    elif mode in _NEVER_BELOW_NOUGHT:
        low = max(low, Decimal(0))
    return Limits(middle, mad, _rounded(low, width), _rounded(middle + width, width), WIDTH * mad <= floor)


def _rounded(value: Decimal, width: Decimal) -> Decimal:
    """To three digits of the width, nine places at most, so that it can be read aloud."""
    places = min(9, 2 - width.adjusted())
    return value.quantize(Decimal(1).scaleb(-places)).normalize() + 0
