"""One bar a row, with that of the time before under it, hollow. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from shop.books.charts.drawing import BLANK, FULL, SLANT, Chart, Drawing, charted
from shop.books.charts.rows import rows_for, scale_for

HOLLOW_TALL = 7


@dataclass(frozen=True)
class Bar:
    """`value` in any unit, `said` its words. `before`: the same of the time before; None: nothing to compare. A `pale` bar,
    one that rests on few, is slanted lines instead of full ink."""

    name: str
    value: float
    said: str
    before: float | None = None
    pale: bool = False


def bars(rows: Sequence[Bar], *, title: str, desc: str = "") -> Chart:
    """Bars from one line of nought, to the left where they are below it. `desc` says the rows where none is given."""

    def draw(drawing: Drawing) -> float:
        compared = any(row.before is not None for row in rows)
        tall = 18 + (HOLLOW_TALL + 2 if compared else 0)
        lie = rows_for(drawing.size, [row.name for row in rows], [row.said for row in rows], tall=tall)
        amounts = [row.value for row in rows] + [row.before for row in rows if row.before is not None]
        x = scale_for(amounts, lie.left, lie.right)
        for number, row in enumerate(rows):
            top = lie.bar_top(number)
            lie.name(drawing, number, row.name)
            drawing.bar(x(0), x(row.value), top, 18, SLANT if row.pale else FULL)
            if row.before is not None:
                drawing.bar(x(0), x(row.before), top + 20, HOLLOW_TALL, BLANK, kind="before")
            end = max(x(0), x(row.value))
            drawing.text(end + 8, top + 9 + drawing.size.text * 0.36, row.said)
        lie.nought(drawing, x(0), len(rows))
        return lie.foot(len(rows)) + 6

    said = desc or "; ".join(f"{row.name}: {row.said}" for row in rows) + "."
    return charted(draw, title=title, desc=said)
