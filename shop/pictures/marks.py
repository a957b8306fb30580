"""Marks put on a photo, taken off and put back. Each change tells the history the digest of the copy it led to."""

import datetime as dt
from dataclasses import dataclass, replace

from django.db.models import Max

from intake import history
from intake.history import in_turn
from intake.models import Person, Photo
from intake.refusals import Refused
from quotes.models import Reading
from shop.models import PhotoMark
from shop.pictures import geometry, marked
from shop.pictures.geometry import Mark

MOST_MARKS, BIGGEST_NUMBER = 30, 99


@dataclass(frozen=True)
class Said:
    """What goes with a mark: a word or two, and the reading it stands for."""

    words: str = ""
    reading: Reading | None = None


@in_turn
def add(*, photo: Photo, mark: Mark, said: Said, key: str, by: Person, at: dt.datetime) -> PhotoMark:
    """Put a mark on a photo of an order; the same `key` twice is one mark.

    A ring or arrow with one place gets its second, a number without one gets the next. Raises Refused.
    """
    known = PhotoMark.objects.filter(key=key).first()
    if known is not None:
        return known
    _judge(photo, mark, said)
    if mark.kind == geometry.NUMBER and mark.number is None:
        mark = replace(mark, number=_number_for(photo, said.reading))
    full = geometry.whole(mark)
    row = PhotoMark.objects.create(
        photo=photo,
        key=key,
        kind=full.kind,
        x=full.x,
        y=full.y,
        to_x=full.to_x,
        to_y=full.to_y,
        number=full.number,
        words=said.words,
        reading=said.reading,
        at=at,
        by=by,
    )
    _tell(photo, "photo marked", row, by, at)
    return row


@in_turn
def remove(*, photo: Photo, mark_id: int, by: Person, at: dt.datetime) -> None:
    """Take a mark off the copy; the row stays, with the time. One that is off already stays off."""
    row = PhotoMark.objects.filter(photo=photo, pk=mark_id, removed_at__isnull=True).first()
    if row is not None:
        PhotoMark.objects.filter(pk=row.pk).update(removed_at=at)
        _tell(photo, "photo mark removed", row, by, at)


@in_turn
def put_back(*, photo: Photo, mark_id: int, by: Person, at: dt.datetime) -> None:
    """A mark that was taken off is on the copy again. Raises Refused when its number is taken meanwhile."""
    row = PhotoMark.objects.filter(photo=photo, pk=mark_id, removed_at__isnull=False).first()
    if row is None:
        return
    if row.number is not None and row.number in _numbers(photo):
        raise Refused(f"Number {row.number} is on the photo already. Take that one off first.")
    PhotoMark.objects.filter(pk=row.pk).update(removed_at=None)
    _tell(photo, "photo mark put back", row, by, at)


def next_number(photo: Photo) -> int:
    """One more than the highest number on this order's photos, so that a number means one place only."""
    if photo.order_id is None:
        return 1
    highest = PhotoMark.objects.filter(photo__order=photo.order_id, removed_at__isnull=True).aggregate(
        highest=Max("number")
    )
    return min((highest["highest"] or 0) + 1, BIGGEST_NUMBER)


def _number_for(photo: Photo, reading: Reading | None) -> int:
    """A reading keeps its number on every photo of the order, unless this photo has that number already."""
    rows = PhotoMark.objects.filter(
        photo__order=photo.order_id, removed_at__isnull=True, number__isnull=False
    )
    known = rows.filter(reading=reading).first() if reading is not None else None
    if known is not None and known.number not in _numbers(photo):
        return known.number
    return next_number(photo)


def _judge(photo: Photo, mark: Mark, said: Said) -> None:
    if photo.order_id is None:
        raise Refused("This photo is on no sheet yet.")
    if mark.kind not in geometry.KINDS:
        raise Refused("Choose a ring, an arrow or a number.", field="kind")
    for field in ("x", "y", "to_x", "to_y"):
        value = getattr(mark, field)
        if value is not None and not 0 <= value <= geometry.MOST:
            raise Refused("A place is between 0 and 100 %.", field=field)
    if photo.marks.filter(removed_at__isnull=True).count() >= MOST_MARKS:
        raise Refused(f"There are {MOST_MARKS} marks on this photo already. Take one off first.")
    if mark.number is not None and not 1 <= mark.number <= BIGGEST_NUMBER:
        raise Refused(f"A number is between 1 and {BIGGEST_NUMBER}.", field="number")
    if mark.kind == geometry.NUMBER and mark.number in _numbers(photo):
        raise Refused(f"Number {mark.number} is on this photo already.", field="number")
    if said.reading is not None and said.reading.order_id != photo.order_id:
        raise Refused("This reading belongs to another sheet.", field="reading")


def _numbers(photo: Photo) -> set[int | None]:
    return set(
        photo.marks.filter(removed_at__isnull=True, number__isnull=False).values_list("number", flat=True)
    )


def _tell(photo: Photo, what: str, row: PhotoMark, by: Person, at: dt.datetime) -> None:
    try:
        copy = marked.digest_of(photo)
    except OSError as fault:
        raise Refused("The file of this photo cannot be read. Take the photo again.") from fault
    # The history cannot be changed: of words that go with their photo it holds a digest only.
    words = history.sealed(photo.order, row.words)
    facts = {
        "sha256": photo.sha256,
        "copy": copy,
        "mark": row.kind,
        "number": row.number,
        "words_digest": words,
    }
    history.record(order=photo.order, what=what, by=by.username, at=at, facts=facts)
