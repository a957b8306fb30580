"""Cohorts: one bar a row, cut into its parts, each part with a filling of its own. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from shop.books.charts.drawing import FILLINGS, Chart, Drawing, charted
from shop.books.charts.rows import rows_for, scale_for

SWATCH = 14


@dataclass(frozen=True)
class Stack:
    """One row; `counts` in the order of the parts' names, none below nought. `said` stands at its end."""

    name: str
    counts: tuple[int, ...]
    said: str = ""


def stacked(columns: Sequence[Stack], parts: Sequence[str], *, title: str, desc: str = "") -> Chart:
    """At most as many parts as there are fillings. Raises ValueError for more, or for a count below nought."""
    if len(parts) > len(FILLINGS) or any(count < 0 for stack in columns for count in stack.counts):
        raise ValueError("A stack has at most six parts, none below nought.")

    def draw(drawing: Drawing) -> float:
        top = _legend(drawing, parts)
        saids = [stack.said or str(sum(stack.counts)) for stack in columns]
        lie = rows_for(drawing.size, [stack.name for stack in columns], saids, top=top)
        x = scale_for([float(sum(stack.counts)) for stack in columns], lie.left, lie.right)
        for number, (stack, said) in enumerate(zip(columns, saids, strict=True)):
            lie.name(drawing, number, stack.name)
            level = 0
            for count, fill in zip(stack.counts, FILLINGS, strict=False):
                if count:
                    drawing.bar(x(level), x(level + count), lie.bar_top(number), lie.tall, fill)
                level += count
            drawing.text(x(level) + 8, lie.base(number), said)
        return lie.foot(len(columns)) + 4

    told = "; ".join(
        f"{stack.name}: "
        + ", ".join(f"{count} {part}" for count, part in zip(stack.counts, parts, strict=True))
        for stack in columns
    )
    return charted(draw, title=title, desc=desc or told + ".")


def _legend(drawing: Drawing, parts: Sequence[str]) -> float:
    """The fillings with their names, broken into lines; gives where the rows begin."""
    x, y = 1.0, 3.0
    for part, fill in zip(parts, FILLINGS, strict=False):
        room = SWATCH + 6 + drawing.size.room(part) + 16
        if x > 1 and x + room > drawing.size.wide:
            x, y = 1.0, y + drawing.size.line + 4
        drawing.bar(x, x + SWATCH, y, SWATCH, fill, kind="legend")
        drawing.text(x + SWATCH + 6, y + SWATCH - 2, part)
        x += room
    return y + SWATCH + 14
