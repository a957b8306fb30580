"""From what was billed down to what is left: each cost begins where the one before ended. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from shop.books.charts.drawing import FULL, SLANT, SOFT, Chart, Drawing, charted
from shop.books.charts.rows import rows_for, scale_for

GAP = 8
# Width of a letter at most, in the drawing's units.
LETTER = 8


@dataclass(frozen=True)
class Fall:
    """`amount` is what a step adds, below nought for a cost; of a sum, the level itself."""

    name: str
    amount: int
    said: str
    is_sum: bool = False


def spans(steps: Sequence[Fall]) -> list[tuple[int, int]]:
    """From where to where each bar goes, in the unit of the amounts."""
    found, level = [], 0
    for step in steps:
        start = 0 if step.is_sum else level
        level = step.amount if step.is_sum else level + step.amount
        found.append((start, level))
    return found


def _beside(end: float, nought: float, words: str) -> float:
    """Where what a bar says begins: behind its end, or behind the line of nought where that would strike it through."""
    return (nought if end < nought < end + GAP + LETTER * len(words) else end) + GAP


def falling(steps: Sequence[Fall], *, title: str, desc: str = "") -> Chart:
    """Sums are full, steps are slanted lines, each bound to the next by a thin line."""
    levels = spans(steps)

    def draw(drawing: Drawing) -> float:
        lie = rows_for(drawing.size, [step.name for step in steps], [step.said for step in steps])
        x = scale_for([float(end) for span in levels for end in span], lie.left, lie.right)
        lie.nought(drawing, x(0), len(steps))
        for number, (step, (start, end)) in enumerate(zip(steps, levels, strict=True)):
            top = lie.bar_top(number)
            lie.name(drawing, number, step.name, bold=step.is_sum)
            drawing.bar(x(start), x(end), top, lie.tall, FULL if step.is_sum else SLANT)
            drawing.text(
                _beside(max(x(start), x(end)), x(0), step.said), lie.base(number), step.said, bold=step.is_sum
            )
            if number + 1 < len(steps) and not drawing.size.narrow:
                drawing.line(x(end), top + lie.tall, x(end), lie.bar_top(number + 1), ink=SOFT, width=1)
        return lie.foot(len(steps)) + 4

    said = desc or "; ".join(f"{step.name}: {step.said}" for step in steps) + "."
    return charted(draw, title=title, desc=said)
