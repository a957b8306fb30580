"""Two photos of one place at one scale: each on a field of the same size, so that a millimetre on one is a millimetre on both."""

import io

from PIL import Image, UnidentifiedImageError

_MOST = 1400
_ROUND = 0.02


def at_one_scale(before: bytes, after: bytes) -> tuple[bytes, bytes, bool]:
    """Both JPEGs on fields of one size, and whether a pixel was the same in both.

    Photos of one camera are only centred, never stretched. Where their longest edges differ (another camera, a crop) the
    larger is brought to the smaller one's edge, and the third value is False. What cannot be read comes back as it was.
    """
    try:
        first, second = _opened(before), _opened(after)
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError):
        return before, after, False
    edges = max(first.size), max(second.size)
    same = abs(edges[0] - edges[1]) <= _ROUND * max(edges)
    edge = min(*edges, _MOST)
    if same:
        share = edge / max(edges)
        first, second = _scaled(first, share), _scaled(second, share)
    else:
        first, second = _scaled(first, edge / edges[0]), _scaled(second, edge / edges[1])
    field = max(first.width, second.width), max(first.height, second.height)
    return _on(first, field), _on(second, field), same


def _opened(photo: bytes) -> Image.Image:
    with Image.open(io.BytesIO(photo), formats=["JPEG", "PNG"]) as picture:
        return picture.convert("RGB")


def _scaled(picture: Image.Image, share: float) -> Image.Image:
    if share >= 1:
        return picture
    size = max(1, round(picture.width * share)), max(1, round(picture.height * share))
    return picture.resize(size, Image.Resampling.LANCZOS)


def _on(picture: Image.Image, field: tuple[int, int]) -> bytes:
    paper = Image.new("RGB", field, "white")
    paper.paste(picture, ((field[0] - picture.width) // 2, (field[1] - picture.height) // 2))
    out = io.BytesIO()
    paper.save(out, "JPEG", quality=88)
    return out.getvalue()
