"""Labels and slips in exact millimetres: a small drawing kit over ReportLab.

No text is ever clipped or run over an edge: it shrinks, then wraps, and is cut with an ellipsis only when
the smallest readable size does not fit. Lengths are millimetres from the top left corner.
"""

import io
from collections.abc import Sequence
from functools import cache, lru_cache

from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from intake.papers.codes import code128_bars, qr_rows
from intake.papers.faces import FACES, face_path
from intake.papers.words import fit

# Width and height in millimetres. 100 x 150 mm and 4 x 6 in are the common sizes of thermal label rolls
# (common practice, no source); A6 is ISO 216; 62 x 29 mm fits the usual address-label roll.
SIZES: dict[str, tuple[float, float]] = {
    "100x150": (100, 150),
    "4x6": (101.6, 152.4),
    "A6": (105, 148),
    "62x29": (62, 29),
}
SMALLEST_POINTS = 5.5
LEAST_MODULE = 0.25
MOST_MODULE = 0.6
LINE = 1.2
UNKNOWN = "?"


@cache
def _faces() -> dict[str, TTFont]:
    """Register our faces once for a process."""
    fonts = {
        name.removesuffix(".ttf"): TTFont(name.removesuffix(".ttf"), str(face_path(name))) for name in FACES
    }
    for font in fonts.values():
        pdfmetrics.registerFont(font)
    return fonts


def unprintable(text: str) -> str:
    """The letters of a text that no face of ours has, each once: a label would print '?' for them."""
    faces = _faces()
    have = faces["Read"].face.charToGlyph, faces["Noto"].face.charToGlyph
    return "".join(
        dict.fromkeys(sign for sign in fit(text) if not any(ord(sign) in h for h in have) and sign != "\n")
    )


def _runs(text: str, face: str) -> list[tuple[str, str]]:
    """The text in stretches of one face, falling back to Noto Sans letter by letter."""
    own, wide = _faces()[face].face.charToGlyph, _faces()["Noto"].face.charToGlyph
    runs: list[tuple[str, str]] = []
    for sign in text:
        name = face if ord(sign) in own else "Noto"
        if name == "Noto" and ord(sign) not in wide:
            name, sign = face, UNKNOWN
        if runs and runs[-1][0] == name:
            runs[-1] = (name, runs[-1][1] + sign)
        else:
            runs.append((name, sign))
    return runs


@lru_cache(maxsize=8192)
def _advance(sign: str, face: str) -> float:
    """Width of one letter at one point, in millimetres; our faces are set without kerning."""
    ((name, shown),) = _runs(sign, face)
    return float(pdfmetrics.stringWidth(shown, name, 1) / mm)


def width_of(text: str, face: str, points: float) -> float:
    """Width in millimetres."""
    return points * sum(_advance(sign, face) for sign in text)


def wrapped(text: str, face: str, points: float, width: float) -> list[str]:
    """Lines no wider than `width`; a word longer than a line is broken."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if width_of(longer, face, points) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            while len(word) > 1 and width_of(word, face, points) > width:
                cut = _longest_fit(word, face, points, width)
                lines.append(word[:cut])
                word = word[cut:]
            line = word
        lines.append(line)
    return lines


def _longest_fit(word: str, face: str, points: float, width: float) -> int:
    """How many letters of a word fit on a line, at least one."""
    used = 0.0
    for number, sign in enumerate(word):
        used += points * _advance(sign, face)
        if used > width:
            return max(1, number)
    return len(word)


class Label:
    """One label of an exact size. Draw, then take `pdf()`."""

    def __init__(self, size: str, *, title: str, language: str) -> None:
        _faces()
        self.width, self.height = SIZES[size]
        self._out = io.BytesIO()
        self._canvas = Canvas(
            self._out,
            pagesize=(self.width * mm, self.height * mm),
            pageCompression=1,
            invariant=1,
            lang=language,
            initialFontName="Read",
        )
        self._canvas.setTitle(title)
        self._canvas.setCreator("Benchpost")
        self._canvas.setViewerPreference("DisplayDocTitle", "true")

    def pdf(self) -> bytes:
        self._canvas.showPage()
        self._canvas.save()
        return self._out.getvalue()

    def text(
        self,
        words: str | Sequence[str],
        box: tuple[float, float, float, float],
        *,
        face: str = "Read",
        points: float = 10,
        least: float = SMALLEST_POINTS,
        centred: bool = False,
        white: bool = False,
    ) -> float:
        """Fit words into box (left, top, width, height); return the height used, in millimetres."""
        left, top, width, height = box
        whole = fit(words if isinstance(words, str) else "\n".join(line for line in words if line), 800)
        lines, points = self._fit(whole, face, points, least, width, height)
        step = points * LINE / mm
        self._canvas.setFillGray(1 if white else 0)
        for number, line in enumerate(lines):
            start = left + (width - width_of(line, face, points)) / 2 if centred else left
            pen = self._canvas.beginText(start * mm, (self.height - top - step * number) * mm - points * 0.95)
            for name, part in _runs(line, face):
                pen.setFont(name, points)
                pen.textOut(part)
            self._canvas.drawText(pen)
        self._canvas.setFillGray(0)
        return float(step * len(lines))

    @staticmethod
    def _fit(
        whole: str, face: str, points: float, least: float, width: float, height: float
    ) -> tuple[list[str], float]:
        while True:
            lines = wrapped(whole, face, points, width)
            words = whole.split()
            broken = any(width_of(word, face, points) > width for word in words) and points > least
            if not broken and len(lines) * points * LINE / mm <= height:
                return lines, points
            if points <= least:
                break
            points = max(least, points - 0.5)
        room = max(1, int(height * mm / (points * LINE) + 0.001))
        if len(lines) <= room:
            return lines, points
        last = lines[room - 1]
        while last and width_of(last + "…", face, points) > width:
            last = last[:-1]
        return [*lines[: room - 1], last + "…"], points

    def code128(self, text: str, box: tuple[float, float, float, float]) -> None:
        """A bar code with its quiet zones inside the box. Raises ValueError when bars would be too narrow."""
        left, top, width, height = box
        bars, modules = code128_bars(text)
        module = min(width / modules, MOST_MODULE)
        if module < LEAST_MODULE:
            raise ValueError(f"{text} is too long for a bar code {width:g} mm wide.")
        start = left + (width - modules * module) / 2
        for bar, size in bars:
            self._ink(start + bar * module, top, size * module, height)

    def qr(self, text: str, left: float, top: float, side: float) -> None:
        """A QR with its quiet zone inside the square."""
        rows = qr_rows(text)
        module = side / len(rows)
        for down, row in enumerate(rows):
            across = 0
            while across < len(row):
                run = across
                while run < len(row) and row[run]:
                    run += 1
                if run > across:
                    self._ink(left + across * module, top + down * module, (run - across) * module, module)
                across = max(run, across + 1)

    def _ink(self, left: float, top: float, width: float, height: float) -> None:
        self._canvas.rect(
            left * mm, (self.height - top - height) * mm, width * mm, height * mm, stroke=0, fill=1
        )

    def bar(self, left: float, top: float, width: float, height: float) -> None:
        """A solid black field."""
        self._ink(left, top, width, height)

    def frame(self, left: float, top: float, width: float, height: float, *, points: float = 1.2) -> None:
        self._canvas.setLineWidth(points)
        self._canvas.rect(left * mm, (self.height - top - height) * mm, width * mm, height * mm)

    def rule(self, left: float, top: float, width: float, *, points: float = 0.8) -> None:
        self._canvas.setLineWidth(points)
        self._canvas.line(left * mm, (self.height - top) * mm, (left + width) * mm, (self.height - top) * mm)
