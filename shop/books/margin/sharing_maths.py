"""Whole smallest units: rounded half up, and shared out so that the shares add up to what was shared. Pure.

Sharing: largest remainder (Hamilton's way, as seats are given out; from memory).
"""

from collections.abc import Mapping
from typing import TypeVar

Key = TypeVar("Key")


def rounded(amount: int, by: int) -> int:
    """`amount` / `by`, rounded half up, away from nought at the half. Raises ZeroDivisionError."""
    whole, rest = divmod(abs(amount), abs(by))
    whole += 2 * rest >= abs(by)
    return whole if (amount < 0) == (by < 0) else -whole


def per_hour(amount: int, minutes: int) -> int | None:
    """What an hour brings, smallest units; None where no minute was spent."""
    return rounded(amount * 60, minutes) if minutes else None


def shared_out(total: int, weights: Mapping[Key, int]) -> dict[Key, int]:
    """`total` split by weights not below nought, to whole units that add up to it exactly.

    What is left after cutting each share down goes, one by one, to the largest remainders; of equal ones the first has
    it. Nothing to share by (no weight above nought) gives nought each: the total is then shared by nobody.
    """
    sum_of = sum(weights.values())
    if sum_of <= 0:
        return dict.fromkeys(weights, 0)
    sign = -1 if total < 0 else 1
    cut = {key: divmod(abs(total) * weight, sum_of) for key, weight in weights.items()}
    left = abs(total) - sum(whole for whole, _ in cut.values())
    first = sorted(cut, key=lambda key: -cut[key][1])[:left]
    more = dict.fromkeys(first, 1)
    return {key: sign * (whole + more.get(key, 0)) for key, (whole, _) in cut.items()}
