"""Code 128 and QR as SVG data: addresses, for papers and screens.

The symbols come from ReportLab (Code 128, ISO/IEC 15417) and segno (QR, ISO/IEC 18004). Quiet zones:
ten modules beside Code 128, four around QR, as those standards ask (from memory).
"""

import io
from base64 import b64encode
from functools import lru_cache

import segno
from reportlab.graphics.barcode.code128 import Code128Auto

QUIET_128 = 10
QUIET_QR = 4
LONGEST = 80


def code128_bars(text: str) -> tuple[list[tuple[int, int]], int]:
    """Bars as (left, width) in modules, quiet zones counted in; and the whole width in modules.

    Raises ValueError for a text that Code 128 cannot hold or that is too long for one line.
    """
    if not text or len(text) > LONGEST or not text.isascii() or not text.isprintable():
        raise ValueError("A bar code holds 1 to 80 plain letters, digits and signs.")
    symbol = Code128Auto(text)
    symbol.validate()
    symbol.encode()
    symbol.decompose()
    bars: list[tuple[int, int]] = []
    left = QUIET_128
    for width in symbol.decomposed:
        modules = ord(width.lower()) - ord("a") + 1
        if width.isupper():
            bars.append((left, modules))
        left += modules
    return bars, left + QUIET_128


@lru_cache(maxsize=512)
def code128_svg(text: str, *, module_mm: float = 0.33, height_mm: float = 14) -> str:
    """Code 128 as an SVG data: address with its true size in millimetres."""
    bars, width = code128_bars(text)
    path = "".join(f"M{left} 0h{size}v40h-{size}z" for left, size in bars)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width * module_mm:.2f}mm" height="{height_mm}mm" '
        f'viewBox="0 0 {width} 40" preserveAspectRatio="none"><path fill="#fff" d="M0 0h{width}v40h-{width}z"/>'
        f'<path fill="#000" d="{path}"/></svg>'
    )
    return "data:image/svg+xml;base64," + b64encode(svg.encode()).decode()


@lru_cache(maxsize=512)
def qr_svg(text: str, *, module_mm: float = 0.85) -> str:
    """QR (error level M or better) as an SVG data: address with its true size in millimetres."""
    out = io.BytesIO()
    # segno's own classes would give the SVG attributes that some renderers refuse.
    segno.make(text, error="m", micro=False).save(
        out, kind="svg", xmldecl=False, svgclass=None, lineclass=None, border=QUIET_QR,
        scale=module_mm, unit="mm", light="#fff",
    )  # fmt: skip
    return "data:image/svg+xml;base64," + b64encode(out.getvalue()).decode()


@lru_cache(maxsize=512)
def qr_rows(text: str) -> tuple[tuple[bool, ...], ...]:
    """The dark and light squares of a QR, quiet zone counted in."""
    symbol = segno.make(text, error="m", micro=False)
    return tuple(tuple(bool(dark) for dark in row) for row in symbol.matrix_iter(border=QUIET_QR))
