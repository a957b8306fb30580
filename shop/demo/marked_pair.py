"""Two photos of one place, before and after, with marks that name the readings taken there; both chosen for the customer."""

import datetime as dt

from intake import album
from intake.models import Order, Photo
from quotes.models import Reading
from shop.demo import pictures
from shop.demo.stage import World
from shop.pictures import choosing, marks
from shop.pictures.geometry import ARROW, NUMBER, RING, Mark

# Both photos show one place, so its number is the same on both.
SEED, WIDE, PLACE = 1, 75, 1


def before(world: World, order: Order, *, at: dt.datetime) -> None:
    """The torn pad: a ring round it, and a number for the reading."""
    photo, x, y = _taken(order, "fault", "The torn pad beside the socket", at=at)
    ring = Mark(RING, x, y, x + WIDE, y)
    _mark(world, photo, ring, "Pad lifted when the socket was changed", at=at)
    number = Mark(NUMBER, x + 2 * WIDE, y, number=PLACE)
    _mark(world, photo, number, "Microphone bias", reading=_newest(order, "before"), at=at)
    choosing.show_one(photo=photo, by=world.owner, at=at)


def after(world: World, order: Order, *, at: dt.datetime) -> None:
    """The same place with its wire, and the same number for the reading after the repair."""
    photo, x, y = _taken(order, "after", "The wire that bridges it, 11 mm", at=at)
    arrow = Mark(ARROW, x - 2 * WIDE, y - WIDE, x, y)
    _mark(world, photo, arrow, "New wire, fixed with mask", at=at)
    number = Mark(NUMBER, x + 2 * WIDE, y, number=PLACE)
    _mark(world, photo, number, "Microphone bias", reading=_newest(order, "after"), at=at)
    choosing.show_one(photo=photo, by=world.owner, at=at)


def _taken(order: Order, role: str, caption: str, *, at: dt.datetime) -> tuple[Photo, int, int]:
    drawn = pictures.board(SEED, mended=role == "after", ringed=False)
    photo = album.add_photo(order=order, content=drawn, role=role, by="ansel", at=at, caption=caption)
    return photo, *pictures.fault_of(SEED)


def _mark(
    world: World, photo: Photo, mark: Mark, words: str, *, at: dt.datetime, reading: Reading | None = None
) -> None:
    said = marks.Said(words, reading)
    key = f"demo-mark-{photo.pk}-{mark.kind}"
    marks.add(photo=photo, mark=mark, said=said, key=key, by=world.owner, at=at)


def _newest(order: Order, phase: str) -> Reading | None:
    return order.readings.filter(phase=phase).order_by("at", "id").last()
