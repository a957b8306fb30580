"""Percentiles of a handful of numbers, by a rule that always names a number that was seen. Pure."""

import math
from collections.abc import Sequence
from fractions import Fraction

MIDDLE, NINE_IN_TEN = Fraction(1, 2), Fraction(9, 10)


def percentile(values: Sequence[int], share: Fraction) -> int | None:
    """The smallest value that at least `share` (above 0, up to 1) of all do not exceed; None of nothing.

    Nearest rank: the value at place ceil(share * n) of the sorted list, definition 1 of Hyndman and Fan (1996), which numpy calls
    'inverted_cdf'. The place is worked out in fractions: a share such as 0.9 is no exact float. Raises ValueError out of range.
    """
    if not 0 < share <= 1:
        raise ValueError("a percentile lies above nought, and up to one")
    if not values:
        return None
    return sorted(values)[math.ceil(share * len(values)) - 1]
