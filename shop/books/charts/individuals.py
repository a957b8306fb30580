"""One value a week in order of time, the usual level and its limits; a week out of the usual is marked. Pure."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shop.books.charts.drawing import SOFT, Chart, Drawing, charted

TALL = 200
Place = Callable[[int], float]
Height = Callable[[float], float]


@dataclass(frozen=True)
class Point:
    """`value` None: nothing to say of that week, the line breaks. `signal`: which rule it breaks, in words; empty: none."""

    name: str
    value: float | None
    signal: str = ""


@dataclass(frozen=True)
class Level:
    """A level line: the usual, or a limit (dashed), with its words."""

    value: float
    words: str
    limit: bool = False


def individuals(
    points: Sequence[Point],
    *,
    title: str,
    centre: tuple[float, str] | None = None,
    limits: Sequence[tuple[float, str]] = (),
    desc: str = "",
) -> Chart:
    """`centre` and `limits` are levels with their words, such as (4.2, 'usual 4.2'). Nought is always on the drawing."""
    levels = [Level(*centre)] if centre else []
    levels += [Level(value, words, limit=True) for value, words in limits]

    def draw(drawing: Drawing) -> float:
        size = drawing.size
        side = max((size.room(level.words) + 4 for level in levels), default=0.0)
        top, left, right = size.line, 8.0, size.wide - 10.0 - side
        foot = top + TALL
        values = [0.0, *(point.value for point in points if point.value is not None)]
        values += [level.value for level in levels]
        low, high = min(values), max(values)

        def y(value: float) -> float:
            return foot - (foot - top) * (value - low) / ((high - low) or 1.0)

        def x(number: int) -> float:
            return left + (right - left) * number / max(1, len(points) - 1)

        drawing.line(left, y(0), right, y(0), width=1)
        for level, base in _said(levels, y, size.line):
            dash = "6 4" if level.limit else ""
            drawing.line(left, y(level.value), right, y(level.value), ink=SOFT, width=1.5, dash=dash)
            drawing.text(right + 8, base + size.text * 0.36, level.words)
        _weeks(drawing, points, x, y)
        _names(drawing, points, x, foot + size.line)
        return foot + size.line * 1.6

    said = [f"{point.name}: {point.signal}" for point in points if point.signal]
    told = (
        desc or "; ".join([level.words for level in levels] + (said or ["no week is out of the usual"])) + "."
    )
    return charted(draw, title=title, desc=told)


def _said(levels: Sequence[Level], y: Height, apart: float) -> list[tuple[Level, float]]:
    """Levels from the top down with the place of their words, pushed apart where they would touch."""
    placed: list[tuple[Level, float]] = []
    for level in sorted(levels, key=lambda level: -level.value):
        over = placed[-1][1] + apart if placed else 0.0
        placed.append((level, max(y(level.value), over)))
    return placed


def _weeks(drawing: Drawing, points: Sequence[Point], x: Place, y: Height) -> None:
    run: list[tuple[float, float]] = []
    runs = [run]
    for number, point in enumerate(points):
        if point.value is None:
            run = []
            runs.append(run)
        else:
            run.append((x(number), y(point.value)))
    for run in runs:
        if len(run) > 1:
            drawing.path(run, kind="weeks", width=1.5)
    for number, point in enumerate(points):
        if point.value is not None:
            drawing.dot(x(number), y(point.value), marked=bool(point.signal))


def _names(drawing: Drawing, points: Sequence[Point], x: Place, base: float) -> None:
    if not points:
        return
    longest = max(drawing.size.room(point.name) for point in points) + 14
    each = max(1, math.ceil(longest * len(points) / (x(len(points) - 1) + 8)))
    for number in range(0, len(points), each):
        half = drawing.size.room(points[number].name) / 2
        place = max(x(number), half)
        drawing.text(place, base, points[number].name, anchor="middle")
