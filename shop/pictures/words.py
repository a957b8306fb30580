"""Marks and photos said in words, for a list beside the picture and for those who cannot see it. Pure."""

from collections.abc import Iterable

from shop.pictures.geometry import ARROW, NUMBER, RING, Mark

_NAMES = {RING: "Ring", ARROW: "Arrow"}


def mark_words(mark: Mark, words: str, *, reading: str = "") -> str:
    """One mark in one line: "3: boost out, 0.452 V" or "Ring in the middle: torn pad". No full stop."""
    said = ", ".join(part for part in (words, reading) if part)
    if mark.kind == NUMBER:
        return f"{mark.number}: {said}" if said else f"{mark.number}, {where_words(mark.x, mark.y)}"
    x, y = (mark.to_x, mark.to_y) if mark.kind == ARROW else (mark.x, mark.y)
    head = f"{_NAMES[mark.kind]} {where_words(x or 0, y or 0)}"
    return f"{head}: {said}" if said else head


def where_words(x: int, y: int) -> str:
    """Which ninth of the photo a place in thousandths is in: "at the top left", "in the middle"."""
    across, down = _third(x, "left", "right"), _third(y, "top", "bottom")
    if not across and not down:
        return "in the middle"
    return f"at the {down} {across}".replace("  ", " ").strip()


def photo_words(role: str, caption: str, marks: Iterable[str]) -> str:
    """What stands for a photo that is not seen: its role, its caption, what is marked on it."""
    head = f"{role}: {caption}" if caption else role
    said = "; ".join(marks)
    return f"{head}. Marked: {said}" if said else head


def _third(place: int, first: str, last: str) -> str:
    return first if place < 334 else last if place > 666 else ""
