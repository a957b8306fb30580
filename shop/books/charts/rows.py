"""Where the rows of a chart lie: names on the left of a wide drawing and over the bars of a narrow one. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from shop.books.charts.drawing import SOFT, Drawing, Size

WIDEST_NAME = 0.36
GAP = 10


@dataclass(frozen=True)
class Rows:
    """Bars lie between `left` and `right`; a row takes `step`, its bar `tall`, pixels."""

    size: Size
    left: float
    right: float
    step: float
    tall: float
    top: float

    def bar_top(self, number: int) -> float:
        """The upper edge of the bar of a row, counted from nought."""
        over = self.size.line if self.size.narrow else 0.0
        return self.top + self.step * number + over

    def foot(self, count: int) -> float:
        """Where the last row ends."""
        return self.top + self.step * count

    def name(self, drawing: Drawing, number: int, words: str, *, bold: bool = False) -> None:
        if self.size.narrow:
            y = self.bar_top(number) - self.size.text * 0.35
            drawing.text(0, y, self.size.fit(words, self.size.wide - 2), bold=bold)
        else:
            fitted = self.size.fit(words, self.left - GAP)
            drawing.text(self.left - GAP, self.base(number), fitted, anchor="end", bold=bold)

    def nought(self, drawing: Drawing, x: float, count: int) -> None:
        """The line that bars begin at; in a narrow drawing beside each bar alone, so that it crosses no name."""
        if not self.size.narrow:
            drawing.line(x, self.top - 4, x, self.foot(count), ink=SOFT)
            return
        for number in range(count):
            top = self.bar_top(number)
            drawing.line(x, top - 2, x, top + self.tall + 2, ink=SOFT)

    def base(self, number: int) -> float:
        """The line that words beside a bar stand on."""
        return self.bar_top(number) + self.tall / 2 + self.size.text * 0.36


def rows_for(
    size: Size, names: Sequence[str], saids: Sequence[str], *, tall: float = 18, top: float = 8
) -> Rows:
    """Room for the longest name, where names stand beside, and for the longest words at the end of a bar."""
    said = max((size.room(words) for words in saids), default=0.0)
    right = max(size.wide * 0.45, size.wide - said - GAP - 2)
    if size.narrow:
        return Rows(size, 1, right, tall + size.line + 12, tall, top)
    longest = max((size.room(words) for words in names), default=0.0)
    return Rows(size, min(longest, size.wide * WIDEST_NAME) + GAP + 2, right, tall + 14, tall, top)


@dataclass(frozen=True)
class Scale:
    """From amounts to places; `low` at the place `start`."""

    low: float
    start: float
    each: float

    def __call__(self, amount: float) -> float:
        return self.start + (amount - self.low) * self.each


def scale_for(amounts: Sequence[float], start: float, end: float) -> Scale:
    """Nought and every amount have their place between the two."""
    low, high = min([0.0, *amounts]), max([0.0, *amounts])
    return Scale(low, start, (end - start) / ((high - low) or 1.0))
