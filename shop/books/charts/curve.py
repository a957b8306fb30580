"""A share that grows in steps with time, its band of doubt hatched, and the times worth naming. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shop.books.charts.drawing import BAND, INK, RULE, SOFT, Chart, Drawing, charted

TALL = 220
At = Callable[[float, float], tuple[float, float]]


@dataclass(frozen=True)
class CurveStep:
    """From `time` on the share is `share` (0 to 1); `low`, `high` are its limits, None where they cannot be said."""

    time: float
    share: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Mark:
    """A share and the time at which it is passed, with its words, such as 'half by 4.2 days'; time None is not drawn."""

    share: float
    time: float | None
    words: str


def curve(
    steps: Sequence[CurveStep], *, title: str, marks: Sequence[Mark] = (), desc: str = "", unit: str = "Days"
) -> Chart:
    """Steps in order of time; the curve begins at nought and no time. `unit` is written under it."""

    def draw(drawing: Drawing) -> float:
        size = drawing.size
        left, right, top = size.room("100 %") + 8, size.wide - 14.0, size.text * 0.8
        foot = top + TALL
        longest = max((step.time for step in steps), default=1.0) or 1.0

        def at(time: float, share: float) -> tuple[float, float]:
            return left + (right - left) * time / longest, foot - (foot - top) * share

        drawing.path(_band(steps, at), kind="band", fill=BAND)
        _grid(drawing, left, right, at, longest, unit)
        drawing.path(_stairs([(step.time, step.share) for step in steps], at), kind="curve")
        for mark in marks:
            if mark.time is not None:
                x, y = at(min(mark.time, longest), mark.share)
                drawing.line(x, y, x, foot, width=1.5, dash="3 3")
                drawing.dot(x, y)
        _said(drawing, marks, foot + size.line * 3.1)
        return foot + size.line * (2.5 + len(marks))

    said = desc or "; ".join(mark.words for mark in marks) + "."
    return charted(draw, title=title, desc=said)


def _said(drawing: Drawing, marks: Sequence[Mark], y: float) -> None:
    for number, mark in enumerate(marks):
        drawing.text(0, y + drawing.size.line * number, mark.words, bold=True)


def _grid(drawing: Drawing, left: float, right: float, at: At, longest: float, unit: str) -> None:
    size, foot = drawing.size, at(0, 0)[1]
    for share, name in ((0.0, "0 %"), (0.5, "50 %"), (0.8, "80 %"), (1.0, "100 %")):
        y = at(0, share)[1]
        ink, dash = (INK, "") if share == 0 else (RULE, "") if share == 1 else (SOFT, "5 4")
        drawing.line(left, y, right, y, ink=ink, width=1, dash=dash)
        drawing.text(left - 6, y + size.text * 0.36, name, anchor="end")
    for time in ticks(longest, 6 if size.narrow else 10):
        x = at(time, 0)[0]
        drawing.line(x, foot, x, foot + 4, width=1)
        drawing.text(x, foot + size.line, f"{time:g}", anchor="middle")
    drawing.text((left + right) / 2, foot + size.line * 2, unit, anchor="middle")


def _stairs(values: Sequence[tuple[float, float]], at: At) -> list[tuple[float, float]]:
    points, share = [at(0, 0)], 0.0
    for time, new in values:
        points += [at(time, share), at(time, new)]
        share = new
    return points


def _band(steps: Sequence[CurveStep], at: At) -> list[tuple[float, float]]:
    known = [step for step in steps if step.low is not None and step.high is not None]
    if len(known) < 2:
        return []
    lower = _stairs([(step.time, step.low or 0.0) for step in known], at)
    upper = _stairs([(step.time, step.high or 0.0) for step in known], at)
    return [*upper, *reversed(lower)]


def ticks(longest: float, most: int) -> list[float]:
    """Round times from nought up to the longest, at most one more than `most`."""
    sizes = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
    step = next((size for size in sizes if longest / size <= most), longest)
    return [step * number for number in range(int(longest / step) + 1)]
