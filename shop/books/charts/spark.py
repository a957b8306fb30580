"""A trend in one line of words, without scale or letters: the table beside it has the values. Pure."""

from collections.abc import Sequence

from shop.books.charts.drawing import Chart, Drawing, Size

SMALL = Size(120, 14)
TALL = 24


def spark(points: Sequence[float | None], *, title: str, desc: str = "") -> Chart:
    """The last point is marked with a dot; None breaks the line."""
    known = [point for point in points if point is not None]
    low, high = min(known, default=0.0), max(known, default=0.0)

    def at(number: int, value: float) -> tuple[float, float]:
        x = 4 + (SMALL.wide - 8) * number / max(1, len(points) - 1)
        # A level trend lies in the middle.
        return x, TALL - 4 - (TALL - 8) * ((value - low) / (high - low) if high > low else 0.5)

    drawing = Drawing(SMALL)
    run: list[tuple[float, float]] = []
    for number, value in enumerate(points):
        if value is None:
            drawing.path(run, kind="trend", width=1.5)
            run = []
        else:
            run.append(at(number, value))
    drawing.path(run, kind="trend", width=1.5)
    if run:
        drawing.dot(*run[-1])
    svg = drawing.svg(TALL, title=title, desc=desc or title)
    return Chart(title, desc or title, svg, svg)
