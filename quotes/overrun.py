"""How far a bill may go above what was agreed, as the shop's legal profile says.

Sources (seen as excerpts, confirm with a lawyer): Ohio Adm. Code 109:4-3-05 (5 dollars or 10 %, whichever is greater); 6 RCNY
5-54 (120 % of the estimate unless it is guaranteed); California BPC 9844 (nothing above without prior consent).
"""

from decimal import ROUND_DOWN, Decimal
from typing import Literal

from intake.money import minor_units

OverrunRule = Literal["none", "greater", "share"]


def ceiling(
    agreed: Decimal,
    *,
    rule: OverrunRule,
    sum_: Decimal = Decimal(0),
    percent: Decimal = Decimal(0),
    currency: str,
) -> Decimal:
    """The highest total that needs no new consent: `agreed` itself, plus the greater of `sum_` and `percent` of it, or
    plus `percent` of it.

    It is cut to whole cents, never rounded up: a cent above the exact limit would be above what the rule allows.
    Raises ValueError for amounts below nought or an unknown rule, TypeError for a float.
    """
    for value in (agreed, sum_, percent):
        if not isinstance(value, Decimal):
            raise TypeError("money and percents are Decimal")
        if not value.is_finite() or value < 0:
            raise ValueError("An amount or a percent here is nought or more.")
    share = agreed * percent / 100
    allowed = {"none": Decimal(0), "greater": max(sum_, share), "share": share}
    if rule not in allowed:
        raise ValueError(f"an overrun rule is none, greater or share, not {rule!r}")
    cent = Decimal(1).scaleb(-minor_units(currency))
    return (agreed + allowed[rule]).quantize(cent, rounding=ROUND_DOWN)
