"""Ink on white: lines, bars, words and fillings of one drawing, and the two sizes each chart is drawn in. Pure."""

from base64 import b64encode
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

INK, SOFT, RULE, WHITE = "#12212A", "#42535A", "#BCC8C4", "#FFFFFF"
# Told apart in grey and without colour: full, slanted, blank, dotted, crossed, upright.
FILLINGS = (INK, "url(#slant)", WHITE, "url(#dots)", "url(#cross)", "url(#upright)")
FULL, SLANT, BLANK = FILLINGS[:3]
BAND = "url(#band)"
# The part of its height that a letter of a sans-serif face is wide, on average and a little more.
LETTER = 0.56


@dataclass(frozen=True)
class Size:
    """How wide a drawing is and how tall its letters are, pixels."""

    wide: int
    text: int

    @property
    def narrow(self) -> bool:
        """For a phone: names stand over their bars."""
        return self.wide < 600

    @property
    def line(self) -> float:
        """From one line of words to the next, pixels."""
        return self.text * 1.35

    def room(self, words: str) -> float:
        """How wide words are, about, pixels."""
        return len(words) * self.text * LETTER

    def fit(self, words: str, room: float) -> str:
        """The words, cut where there is no room for all of them; the table beside the chart has them whole."""
        letters = max(3, int(room / (self.text * LETTER)))
        return words if len(words) <= letters else words[: letters - 1].rstrip() + "\u2026"


# 360 wide is shown about 340 wide on a phone of 390, where 14 is still over 13; 720 is never shown under 600, where 15 is over 12.
WIDE, NARROW = Size(720, 15), Size(360, 14)


@dataclass(frozen=True)
class Chart:
    """`src` is the drawing for a wide page and for paper, `narrow` that for a phone, both data addresses."""

    title: str
    desc: str
    svg: str
    narrow_svg: str

    @property
    def src(self) -> str:
        return data_address(self.svg)

    @property
    def narrow(self) -> str:
        return data_address(self.narrow_svg)


def data_address(svg: str) -> str:
    """The drawing as the address of an image."""
    return "data:image/svg+xml;base64," + b64encode(svg.encode()).decode()


class Drawing:
    """What was drawn so far; `svg` closes it."""

    def __init__(self, size: Size) -> None:
        self.size = size
        self._body: list[str] = []

    def text(self, x: float, y: float, words: str, *, anchor: str = "start", bold: bool = False) -> None:
        weight = ' font-weight="700"' if bold else ""
        ink = INK if bold else SOFT
        self._body.append(
            f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{ink}"{weight}>{escape(words)}</text>'
        )

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        *,
        ink: str = INK,
        width: float = 1.5,
        dash: str = "",
    ) -> None:
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self._body.append(
            f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{ink}" stroke-width="{width}"{dashed}/>'
        )

    def bar(self, x1: float, x2: float, y: float, tall: float, fill: str, *, kind: str = "bar") -> None:
        """From one place to another, whichever is further left."""
        x, wide = min(x1, x2), abs(x2 - x1)
        self._body.append(
            f'<rect class="{kind}" x="{x:.2f}" y="{y:.1f}" width="{wide:.2f}" height="{tall:.1f}" fill="{fill}" stroke="{INK}"/>'
        )

    def path(
        self, points: Sequence[tuple[float, float]], *, kind: str, fill: str = "none", width: float = 2.5
    ) -> None:
        """A line through the points, or a filled shape within them."""
        if not points:
            return
        tag, drawn = ("polyline", INK) if fill == "none" else ("polygon", "none")
        at = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        self._body.append(
            f'<{tag} class="{kind}" points="{at}" fill="{fill}" stroke="{drawn}" stroke-width="{width}"/>'
        )

    def dot(self, x: float, y: float, *, marked: bool = False) -> None:
        """A point; a marked one is a hollow square twice the size."""
        if marked:
            self._body.append(
                f'<rect class="marked" x="{x - 6:.1f}" y="{y - 6:.1f}" width="12" height="12" fill="{WHITE}" stroke="{INK}" stroke-width="2.5"/>'
            )
        else:
            self._body.append(f'<circle class="point" cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{INK}"/>')

    def svg(self, height: float, *, title: str, desc: str) -> str:
        wide, tall = self.size.wide, max(1, round(height))
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {tall}" width="{wide}" height="{tall}" '
            f'role="img" aria-labelledby="t d" font-family="sans-serif" font-size="{self.size.text}">'
            f'<title id="t">{escape(title)}</title><desc id="d">{escape(desc)}</desc>'
            f"{_PATTERNS}{''.join(self._body)}</svg>"
        )


def charted(draw: Callable[[Drawing], float], *, title: str, desc: str) -> Chart:
    """Both sizes of a drawing; `draw` puts ink on it and says how tall it became."""
    svgs = []
    for size in (WIDE, NARROW):
        drawing = Drawing(size)
        svgs.append(drawing.svg(draw(drawing), title=title, desc=desc))
    return Chart(title, desc, svgs[0], svgs[1])


def _pattern(name: str, marks: str, *, turn: int = 0, gap: int = 6) -> str:
    turned = f' patternTransform="rotate({turn})"' if turn else ""
    return (
        f'<pattern id="{name}" width="{gap}" height="{gap}" patternUnits="userSpaceOnUse"{turned}>'
        f'<rect width="{gap}" height="{gap}" fill="{WHITE}"/>{marks}</pattern>'
    )


_PATTERNS = (
    "<defs>"
    + _pattern("slant", f'<rect width="2.4" height="6" fill="{INK}"/>', turn=45)
    + _pattern("dots", f'<circle cx="3" cy="3" r="1.3" fill="{INK}"/>')
    + _pattern("cross", f'<path d="M0 0H6M0 0V6" stroke="{INK}" stroke-width="1.6"/>')
    + _pattern("upright", f'<rect width="1.2" height="6" fill="{INK}"/>')
    + _pattern("band", f'<rect width="1" height="7" fill="{SOFT}"/>', turn=-45, gap=7)
    + "</defs>"
)
