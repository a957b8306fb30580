"""Draws marks onto a copy of a photo: ink with a white edge, so that they show on any ground and in grey."""

import io
from collections.abc import Iterable

from PIL import Image, ImageDraw, ImageFont

from intake.papers.faces import face_path
from shop.pictures import geometry
from shop.pictures.geometry import Mark

INK, EDGE = "#12212A", "#FFFFFF"
QUALITY = 90


def draw(jpeg: bytes, marks: Iterable[Mark]) -> bytes:
    """A new JPEG with the marks on it, of the same size in pixels. Only for pictures the house encoded itself."""
    with Image.open(io.BytesIO(jpeg), formats=["JPEG"]) as opened:
        picture = opened.convert("RGB")
    pen = ImageDraw.Draw(picture)
    for mark in marks:
        _SHAPES[mark.kind](pen, mark, picture.width, picture.height)
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def _ring(pen: ImageDraw.ImageDraw, mark: Mark, width: int, height: int) -> None:
    line, ring = geometry.stroke(width, height), geometry.ring(mark, width, height)
    # An outline is drawn inwards from its box: both are widened, so that the line lies on the circle itself.
    for colour, thick in ((EDGE, 2 * line), (INK, line)):
        outer = geometry.Disc(ring.x, ring.y, ring.radius + thick / 2)
        pen.ellipse(outer.box, outline=colour, width=thick)


def _arrow(pen: ImageDraw.ImageDraw, mark: Mark, width: int, height: int) -> None:
    line = geometry.stroke(width, height)
    start, foot, head = geometry.arrow(mark, width, height)
    pen.line((start, foot), fill=EDGE, width=2 * line)
    # The head's own edge: its outline drawn thick under the ink.
    pen.line((*head, head[0], head[1]), fill=EDGE, width=line, joint="curve")
    pen.line((start, foot), fill=INK, width=line)
    pen.polygon(head, fill=INK)


def _number(pen: ImageDraw.ImageDraw, mark: Mark, width: int, height: int) -> None:
    line, disc = geometry.stroke(width, height), geometry.disc(mark, width, height)
    edge = geometry.Disc(disc.x, disc.y, disc.radius + line / 2)
    pen.ellipse(edge.box, fill=EDGE)
    pen.ellipse(disc.box, fill=INK)
    words = str(mark.number)
    size = disc.radius * (1.5 if len(words) == 1 else 1.15)
    face = ImageFont.truetype(str(face_path("ReadBold.ttf")), round(size))
    pen.text((disc.x, disc.y), words, fill=EDGE, font=face, anchor="mm")


_SHAPES = {geometry.RING: _ring, geometry.ARROW: _arrow, geometry.NUMBER: _number}
