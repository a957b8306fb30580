"""Drawn pictures for the invented orders: a parcel, a device, a board with its fault ringed."""

import io
import random

from PIL import Image, ImageDraw

SIZE = (960, 640)


def board(seed: int, *, mended: bool = False, ringed: bool = True) -> bytes:
    """A board from above as JPEG; the fault is ringed where nobody marks it, and gone when mended."""
    picture, x, y = _board(seed, mended=mended)
    if ringed and not mended:
        ImageDraw.Draw(picture).ellipse((x - 74, y - 74, x + 74, y + 74), outline="#f2ae24", width=8)
    return _jpeg(picture)


def fault_of(seed: int) -> tuple[int, int]:
    """Where the fault of that board lies, in thousandths of the picture's sides."""
    _, x, y = _board(seed, mended=False)
    return round(x * 1000 / SIZE[0]), round(y * 1000 / SIZE[1])


def _board(seed: int, *, mended: bool) -> tuple[Image.Image, int, int]:
    rng = random.Random(seed)  # noqa: S311 -- draws a picture
    picture = Image.new("RGB", SIZE, "#20292b")
    pen = ImageDraw.Draw(picture)
    pen.rounded_rectangle((50, 50, 910, 590), 24, fill="#0c4d40", outline="#0a3a31", width=6)
    for _ in range(26):
        x, y = rng.randrange(80, 820), rng.randrange(80, 520)
        pen.line(
            (x, y, x + rng.randrange(30, 180), y, x + 60, y + rng.randrange(20, 90)), fill="#1e7a64", width=4
        )
    for _ in range(13):
        x, y, wide = rng.randrange(80, 780), rng.randrange(80, 480), rng.randrange(40, 120)
        pen.rectangle((x, y, x + wide, y + wide * 3 // 4), fill="#14181a", outline="#3a4548", width=3)
    for _ in range(30):
        x, y = rng.randrange(80, 860), rng.randrange(80, 550)
        pen.rectangle((x, y, x + 20, y + 11), fill="#b98a4e")
    x, y = rng.randrange(300, 640), rng.randrange(200, 420)
    pen.rectangle((x - 22, y - 13, x + 22, y + 13), fill="#c9cdc6" if mended else "#3b1d14")
    return picture, x, y


def parcel(seed: int) -> bytes:
    """A box as it came."""
    rng = random.Random(seed)  # noqa: S311 -- draws a picture
    picture = Image.new("RGB", SIZE, "#d5dedb")
    pen = ImageDraw.Draw(picture)
    left, top = 180 + rng.randrange(60), 130 + rng.randrange(40)
    pen.rectangle((left, top, left + 560, top + 380), fill="#b88d5a", outline="#7d5c34", width=6)
    pen.rectangle((left + 250, top, left + 310, top + 380), fill="#cfae7f")
    pen.rectangle((left + 30, top + 230, left + 210, top + 350), fill="#fcfdfb", outline="#63736e", width=2)
    for bar in range(18):
        pen.line(
            (left + 45 + bar * 8, top + 300, left + 45 + bar * 8, top + 335),
            fill="#12212a",
            width=1 + bar % 3,
        )
    return _jpeg(picture)


def opened(seed: int) -> bytes:
    """The device as it lay in the box."""
    rng = random.Random(seed)  # noqa: S311 -- draws a picture
    picture = Image.new("RGB", SIZE, "#b88d5a")
    pen = ImageDraw.Draw(picture)
    for _ in range(40):
        x, y = rng.randrange(960), rng.randrange(640)
        pen.ellipse((x - 40, y - 30, x + 40, y + 30), fill="#eff3f1", outline="#bcc8c4", width=2)
    pen.rounded_rectangle((350, 90, 620, 560), 34, fill="#14181a", outline="#63736e", width=5)
    pen.line((400, 140, 400 + rng.randrange(60, 180), 300), fill="#42535a", width=3)
    return _jpeg(picture)


def _jpeg(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=82)
    return out.getvalue()
