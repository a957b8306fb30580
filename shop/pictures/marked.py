"""The copy of a photo that carries its marks. The photo and its file stay as they are."""

import hashlib
import json

from django.core.cache import cache

from intake import album, file_store
from intake.models import Photo
from shop.models import PhotoMark
from shop.pictures.drawing import draw
from shop.pictures.geometry import Mark

FOLDER, SUFFIX = "marked", ".jpg"
# Counts up when the drawing changes, so that copies drawn before are not taken for those drawn now.
HAND = 1
KEEP_SECONDS = 30 * 24 * 3600


def bytes_of(photo: Photo) -> bytes:
    """The JPEG with its marks, or the photo itself when it has none. OSError when the photo's file is lost."""
    return _copy(photo)[1]


def digest_of(photo: Photo) -> str:
    """SHA-256 (hex) of what `bytes_of` gives. OSError as there."""
    return _copy(photo)[0]


def marks_of(photo: Photo) -> list[PhotoMark]:
    """The marks that stand, oldest first."""
    return list(photo.marks.filter(removed_at__isnull=True).select_related("reading"))


def _copy(photo: Photo) -> tuple[str, bytes]:
    marks = [Mark(mark.kind, mark.x, mark.y, mark.to_x, mark.to_y, mark.number) for mark in marks_of(photo)]
    if not marks:
        return photo.sha256, album.photo_bytes(photo)
    key = f"marked:{_recipe(photo, marks)}"
    if digest := cache.get(key):
        try:
            return digest, file_store.read(digest, folder=FOLDER, suffix=SUFFIX)
        except OSError:
            cache.delete(key)
    jpeg = draw(album.photo_bytes(photo), marks)
    digest = file_store.store(jpeg, folder=FOLDER, suffix=SUFFIX)
    cache.set(key, digest, KEEP_SECONDS)
    return digest, jpeg


def _recipe(photo: Photo, marks: list[Mark]) -> str:
    rows = [[mark.kind, mark.x, mark.y, mark.to_x, mark.to_y, mark.number] for mark in marks]
    return hashlib.sha256(json.dumps([HAND, photo.sha256, rows]).encode()).hexdigest()
