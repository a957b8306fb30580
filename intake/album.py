"""Photos on a sheet or in a draft: always re-encoded, stored under their digest."""

import datetime as dt

from django.db import transaction

from intake import file_store, history, photo_files, pictures
from intake.history import in_turn
from intake.models import Draft, Order, Photo
from intake.refusals import Refused

MOST_A_DRAFT = 8
MOST_AN_ORDER = 60


def add_photo(
    *,
    content: bytes,
    role: str,
    by: str,
    at: dt.datetime,
    order: Order | None = None,
    draft: Draft | None = None,
    caption: str = "",
    shown: bool = False,
) -> Photo:
    """Re-encode and keep one photo; the same picture twice is kept once. Raises Refused with a sentence."""
    if order is None and draft is None:
        raise ValueError("A photo belongs to an order or a draft.")
    have = Photo.objects.filter(order=order) if order is not None else Photo.objects.filter(draft=draft)
    most = MOST_AN_ORDER if order is not None else MOST_A_DRAFT
    if have.count() >= most:
        raise Refused(f"There are {most} photos already. Remove one first.", field="photos")
    try:
        picture = pictures.re_encode(content)
    except pictures.PictureError as fault:
        raise Refused(str(fault), field="photos") from fault
    file_store.store(picture.jpeg, folder=photo_files.FOLDER, suffix=photo_files.SUFFIX)
    return _keep(picture, role, by, at, order, draft, caption, shown)


@in_turn
def _keep(
    picture: pictures.Picture,
    role: str,
    by: str,
    at: dt.datetime,
    order: Order | None,
    draft: Draft | None,
    caption: str,
    shown: bool,
) -> Photo:
    have = Photo.objects.filter(order=order) if order is not None else Photo.objects.filter(draft=draft)
    known = have.filter(role=role, original_sha256=picture.original_sha256).first()
    if known is not None:
        return known
    photo = Photo.objects.create(
        order=order,
        draft=draft,
        role=role,
        caption=caption,
        sha256=picture.sha256,
        original_sha256=picture.original_sha256,
        width=picture.width,
        height=picture.height,
        bytes_long=len(picture.jpeg),
        shown=shown,
        taken_at=at,
        taken_by=by,
    )
    if order is not None:
        history.record(
            order=order, what="photo", by=by, at=at, facts={"role": role, "sha256": picture.sha256}
        )
    return photo


def photo_bytes(photo: Photo) -> bytes:
    """The file as it was kept; OSError when it is lost."""
    return photo_files.kept(photo)


@in_turn
def remove_from_draft(*, draft: Draft, photo_id: int) -> None:
    """Take a photo out of a request that is not sent yet; its file goes too once nothing else shows it."""
    photo = Photo.objects.filter(draft=draft, pk=photo_id, order__isnull=True).first()
    if photo is not None:
        photo.delete()
        transaction.on_commit(lambda: drop_files({photo.sha256}), robust=True)


def drop_files(digests: set[str]) -> None:
    """Remove the files that no photo shows any more."""
    for digest in digests - set(Photo.objects.filter(sha256__in=digests).values_list("sha256", flat=True)):
        file_store.delete(digest, folder=photo_files.FOLDER, suffix=photo_files.SUFFIX)


@in_turn
def show_to_customer(*, order: Order, photo_ids: list[int], by: str, at: dt.datetime) -> None:
    """Exactly these photos are the customer's to see (their own stay)."""
    order.photos.exclude(role=Photo.Role.CUSTOMER).exclude(pk__in=photo_ids).update(shown=False)
    order.photos.filter(pk__in=photo_ids).update(shown=True)
    history.record(order=order, what="photos shown", by=by, at=at, facts={"count": len(photo_ids)})
