"""Drawings of the books as SVG in data addresses: the content policy allows no drawing within the page. Pure.

Each stands beside a table that says the same. Ink on the patch of the page, which lies behind, told apart by filling and place and never by colour alone, so
that they are read on grey paper too.
"""

from base64 import b64encode
from collections.abc import Sequence
from decimal import Decimal
from html import escape

from shop.books.turnaround_maths import Curve

INK, SOFT, RULE = "#12212A", "#42535A", "#BCC8C4"
WIDE = 720
_HATCH = (
    '<defs><pattern id="h" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    f'<rect width="2.4" height="6" fill="{INK}"/></pattern></defs>'
)


def data_address(svg: str) -> str:
    """The drawing as the address of an image."""
    return "data:image/svg+xml;base64," + b64encode(svg.encode()).decode()


def _page(height: int, body: list[str]) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {height}" width="{WIDE}" height="{height}" '
        f'font-family="sans-serif" font-size="14">'
        f"{_HATCH}{''.join(body)}</svg>"
    )


def _text(
    x: float, y: float, words: str, *, anchor: str = "start", bold: bool = False, fill: str = INK
) -> str:
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{fill}"{weight}>{escape(words)}</text>'
    )


def _line(
    x1: float, y1: float, x2: float, y2: float, *, ink: str = INK, width: float = 1.5, dash: str = ""
) -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{ink}" stroke-width="{width}"{dashed}/>'


def _rect(x: float, y: float, wide: float, fill: str) -> str:
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="18" fill="{fill}" stroke="{INK}"/>'


def gone_by_day(curve: Curve) -> str:
    """The share of devices that had left by each day after arrival, with the median and eight in ten marked."""
    left, right, top, foot, height = 54, WIDE - 20, 20, 220, 262
    longest = max((step.time for step in curve.steps), default=1.0) or 1.0

    def x(days: float) -> float:
        return left + (right - left) * days / longest

    def y(share: float) -> float:
        return foot - (foot - top) * share

    body = []
    for share, name in ((0.0, "0 %"), (0.5, "50 %"), (0.8, "80 %"), (1.0, "100 %")):
        dash = "5 4" if share in (0.5, 0.8) else ""
        ink = INK if share == 0 else RULE if share == 1 else SOFT
        body += [
            _line(left, y(share), right, y(share), ink=ink, width=1, dash=dash),
            _text(left - 8, y(share) + 5, name, anchor="end", fill=SOFT),
        ]
    points, share = [f"{x(0):.1f},{y(0):.1f}"], 0.0
    for step in curve.steps:
        points.append(f"{x(step.time):.1f},{y(share):.1f}")
        share = 1 - float(step.still_open)
        points.append(f"{x(step.time):.1f},{y(share):.1f}")
    body.append(f'<polyline points="{" ".join(points)}" fill="none" stroke="{INK}" stroke-width="2.5"/>')
    body += [_text(x(day), foot + 20, f"{day:g}", anchor="middle", fill=SOFT) for day in _ticks(longest)]
    body.append(_text((left + right) / 2, height - 4, "Days after arrival", anchor="middle", fill=SOFT))
    return _page(height, body)


def _ticks(longest: float) -> list[float]:
    step = next((size for size in (0.5, 1, 2, 5, 10, 20, 50, 100) if longest / size <= 10), 365)
    return [step * number for number in range(int(longest / step) + 1)]


def bars(rows: Sequence[tuple[str, float, str]]) -> str:
    """One bar a row: name, length (any unit, not below nought), and the words at its end."""
    left, right, tall = 150, WIDE - 110, 32
    longest = max((value for _, value, _ in rows), default=1.0) or 1.0
    body = [_line(left, 8, left, 12 + tall * len(rows))]
    for number, (name, value, said) in enumerate(rows):
        middle = 10 + tall * number + tall / 2
        wide = (right - left) * value / longest
        body += [
            _text(left - 10, middle + 5, name, anchor="end"),
            _rect(left, middle - 9, wide, INK),
            _text(left + wide + 8, middle + 5, said, fill=SOFT),
        ]
    return _page(20 + tall * len(rows), body)


def falls(steps: Sequence[tuple[str, Decimal, str, bool]]) -> str:
    """From what was billed to what is left: name, amount, its words, and whether it is a sum. Costs are hatched, sums full."""
    left, right, tall = 190, WIDE - 120, 32
    spans, level = [], Decimal(0)
    for _, amount, _, is_sum in steps:
        start = Decimal(0) if is_sum else level
        level = amount if is_sum else level + amount
        spans.append((min(start, level), max(start, level)))
    low = min([Decimal(0), *(span[0] for span in spans)])
    high = max([Decimal(0), *(span[1] for span in spans)])
    scale = float(right - left) / (float(high - low) or 1.0)

    def x(amount: Decimal) -> float:
        return left + float(amount - low) * scale

    body = [_line(x(Decimal(0)), 8, x(Decimal(0)), 12 + tall * len(steps), ink=SOFT)]
    for number, ((name, _, said, is_sum), (start, end)) in enumerate(zip(steps, spans, strict=True)):
        middle = 10 + tall * number + tall / 2
        fill = INK if is_sum else "url(#h)"
        body += [
            _text(left - 10, middle + 5, name, anchor="end", bold=is_sum),
            _rect(x(start), middle - 9, max(1.0, x(end) - x(start)), fill),
            _text(x(end) + 8, middle + 5, said, bold=is_sum),
        ]
    return _page(20 + tall * len(steps), body)
