"""Photos as they are looked at: each with the words that stand for it and the list of its marks."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from intake.models import Order, Photo
from quotes import reading_words
from quotes.models import Reading
from shop.models import PhotoMark
from shop.pictures.geometry import Mark
from shop.pictures.words import mark_words, photo_words


@dataclass(frozen=True)
class Seen:
    """A photo's row, `alt` (role, caption and marks) and `legend`, one line a mark."""

    photo: Photo
    alt: str
    legend: tuple[str, ...]

    def __getattr__(self, name: str) -> Any:
        """A template reads the row's own columns from here as well."""
        return getattr(self.photo, name)


def seen(photos: Iterable[Photo], *, readings: bool = False) -> list[Seen]:
    """The photos in their order. `readings` tells the bench what was measured at a mark; the customer is told its words."""
    rows = list(photos)
    standing = PhotoMark.objects.filter(photo__in=rows, removed_at__isnull=True).select_related("reading")
    lines: dict[int, list[str]] = {}
    for mark in standing:
        lines.setdefault(mark.photo_id, []).append(line_of(mark, readings=readings))
    return [_one(photo, tuple(lines.get(photo.pk, ()))) for photo in rows]


def of_roles(order: Order, *roles: Photo.Role) -> list[Seen]:
    """The photos of an order with one of these roles, as the bench sees them."""
    return seen(order.photos.filter(role__in=roles), readings=True)


def line_of(mark: PhotoMark, *, readings: bool = True) -> str:
    """One mark in words: "3: boost out, 0.452 V, battery off"."""
    read = reading_line(mark.reading) if readings and mark.reading is not None else ""
    plain = Mark(mark.kind, mark.x, mark.y, mark.to_x, mark.to_y, mark.number)
    return mark_words(plain, mark.words, reading=read)


def reading_line(reading: Reading) -> str:
    amount = reading_words.amount(reading.value, reading.special, reading.prefix, reading.unit)
    return f"{amount}, {reading.state}" if reading.state else amount


def _one(photo: Photo, legend: tuple[str, ...]) -> Seen:
    return Seen(photo, photo_words(photo.get_role_display(), photo.caption, legend), legend)
