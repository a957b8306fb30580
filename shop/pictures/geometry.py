"""Where a mark lies on a photo: thousandths of its sides to pixels, and the shapes drawn there. Pure.

Thousandths count from the top left; pixels too. Shapes may reach over the photo's edge, number discs never do.
"""

import math
from dataclasses import dataclass, replace

RING, ARROW, NUMBER = "ring", "arrow", "number"
KINDS = (RING, ARROW, NUMBER)
MOST = 1000
# A ring's radius and an arrow's reach where a hand gave one place only, in thousandths.
USUAL_RING, USUAL_ARROW = 60, 150
COLUMNS, ROWS = "ABCDEFGHI", "123456789"
Point = tuple[float, float]


@dataclass(frozen=True)
class Mark:
    """`kind` is one of KINDS; places in thousandths. A ring has its edge, an arrow its point at `to_x`, `to_y`."""

    kind: str
    x: int
    y: int
    to_x: int | None = None
    to_y: int | None = None
    number: int | None = None


@dataclass(frozen=True)
class Disc:
    """A circle in pixels."""

    x: float
    y: float
    radius: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom."""
        return (self.x - self.radius, self.y - self.radius, self.x + self.radius, self.y + self.radius)


def pixel(thousandths: int, side: int) -> float:
    """0 is the first pixel of a side, 1000 the last. ValueError outside of that."""
    if not 0 <= thousandths <= MOST:
        raise ValueError(f"{thousandths} is not between 0 and {MOST}.")
    return thousandths * (side - 1) / MOST


def stroke(width: int, height: int) -> int:
    """How thick a line is drawn, in pixels: the same to the eye on a large and a small photo, never under 3."""
    return max(3, round(max(width, height) / 240))


def ring(mark: Mark, width: int, height: int) -> Disc:
    """Round its place, through its edge; never so small that its line would fill it."""
    x, y = place(mark, width, height)
    to = end(mark, width, height)
    return Disc(x, y, max(math.dist((x, y), to), 3.0 * stroke(width, height)))


def arrow(mark: Mark, width: int, height: int) -> tuple[Point, Point, tuple[Point, Point, Point]]:
    """Where the shaft begins, where it ends (inside the head), and the head's corners: its point first."""
    start, tip = place(mark, width, height), end(mark, width, height)
    long = 7.0 * stroke(width, height)
    reach = math.dist(start, tip)
    if reach == 0:
        # Nowhere to come from: it points down to its place.
        start, reach = (tip[0], tip[1] - 2 * long), 2 * long
    along = ((tip[0] - start[0]) / reach, (tip[1] - start[1]) / reach)
    foot = (tip[0] - along[0] * long, tip[1] - along[1] * long)
    half = long / 2
    left = (foot[0] - along[1] * half, foot[1] + along[0] * half)
    right = (foot[0] + along[1] * half, foot[1] - along[0] * half)
    return start, foot, (tip, left, right)


def disc(mark: Mark, width: int, height: int) -> Disc:
    """The disc of a number, moved inwards where it would be cut off."""
    x, y = place(mark, width, height)
    edge = stroke(width, height)
    radius = min(6.0 * edge, min(width, height) / 2 - 1)
    room = radius + edge
    return Disc(_within(x, room, width), _within(y, room, height), radius)


def place(mark: Mark, width: int, height: int) -> Point:
    return pixel(mark.x, width), pixel(mark.y, height)


def end(mark: Mark, width: int, height: int) -> Point:
    """A ring's edge or an arrow's point. ValueError for a mark without one."""
    if mark.to_x is None or mark.to_y is None:
        raise ValueError(f"A {mark.kind} needs a second place.")
    return pixel(mark.to_x, width), pixel(mark.to_y, height)


def _within(value: float, room: float, side: int) -> float:
    return min(max(value, room), max(side - 1 - room, room)) if side > 2 * room else (side - 1) / 2


def whole(mark: Mark) -> Mark:
    """The mark with the second place it needs: a ring of a usual size, an arrow that comes from where there is room.

    A place given alone is what is meant: the middle of a ring, the point of an arrow. ValueError for no such kind.
    """
    if mark.kind not in KINDS:
        raise ValueError(f"There is no mark called {mark.kind}.")
    if mark.kind == NUMBER or (mark.to_x is not None and mark.to_y is not None):
        return mark
    if mark.kind == RING:
        sideways = mark.x + USUAL_RING if mark.x + USUAL_RING <= MOST else mark.x - USUAL_RING
        return replace(mark, to_x=sideways, to_y=mark.y)
    from_x = mark.x - USUAL_ARROW if mark.x >= USUAL_ARROW else mark.x + USUAL_ARROW
    from_y = mark.y - USUAL_ARROW if mark.y >= USUAL_ARROW else mark.y + USUAL_ARROW
    return replace(mark, x=from_x, y=from_y, to_x=mark.x, to_y=mark.y)


def of_square(name: str) -> tuple[int, int]:
    """The middle of one of 81 squares in thousandths: "A1" is top left, "I9" bottom right. ValueError for no square."""
    text = name.strip().upper()
    if len(text) != 2 or text[0] not in COLUMNS or text[1] not in ROWS:
        raise ValueError("A square is a letter from A to I and a figure from 1 to 9, such as E5.")
    across, down = COLUMNS.index(text[0]), ROWS.index(text[1])
    return round((across + 0.5) * MOST / len(COLUMNS)), round((down + 0.5) * MOST / len(ROWS))
