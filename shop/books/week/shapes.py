"""What the weekly page is made of, in plain values. Pure."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Told:
    """What one sentence tells of a week or a month. `brought` is the full margin said as money, empty where no order left; `sign` is
    -1, 0 or 1 by whether it lost money. `loss`: the kind of the greatest loss, as the margin names it. `stretch`: 'week' or 'month'."""

    came: int = 0
    left: int = 0
    due: int = 0
    missed: int = 0
    waiting: int = 0
    brought: str = ""
    sign: int = 0
    loss: str = ""
    stretch: str = "week"
