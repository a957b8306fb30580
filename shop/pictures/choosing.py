"""What is said of one photo: whether the customer sees it, what it shows, its caption. One photo at a time."""

import datetime as dt

from intake import history
from intake.history import in_turn
from intake.models import Person, Photo
from intake.refusals import Refused
from shop.pictures import marked

STAFF_ROLES = tuple(Photo.Role(value) for value in Photo.Role.values if value != Photo.Role.CUSTOMER)


def show_one(*, photo: Photo, by: Person, at: dt.datetime) -> None:
    """The customer sees this photo with its marks; no other photo is touched."""
    _show(photo, True, by, at)


def hide_one(*, photo: Photo, by: Person, at: dt.datetime) -> None:
    """The customer no longer sees this photo. Raises Refused for one that they sent themselves."""
    if photo.role == Photo.Role.CUSTOMER:
        raise Refused("The customer sent this photo. They always see it.")
    _show(photo, False, by, at)


@in_turn
def _show(photo: Photo, shown: bool, by: Person, at: dt.datetime) -> None:
    if not Photo.objects.filter(pk=photo.pk, order__isnull=False, shown=not shown).update(shown=shown):
        return
    what = "photo shown" if shown else "photo hidden"
    _tell(photo, what, by, at, {"copy": _copy_of(photo)})


@in_turn
def describe(*, photo: Photo, role: str, caption: str, by: Person, at: dt.datetime) -> None:
    """Correct what a photo shows and its caption. Raises Refused with the field."""
    row = Photo.objects.select_for_update().get(pk=photo.pk)
    before = {"role": row.role, "caption": row.caption}
    after = {"role": role, "caption": caption}
    if before == after:
        return
    if role != row.role:
        _judge_role(row, role)
    Photo.objects.filter(pk=row.pk).update(**after)
    told: dict[str, object] = {"before": _sealed(row, before), "after": _sealed(row, after)}
    _tell(row, "photo described", by, at, told)


def _sealed(photo: Photo, said: dict[str, str]) -> dict[str, str]:
    """As the history may keep it for good: the caption goes with its photo, so that only its digest stays."""
    return {"role": said["role"], "caption_digest": history.sealed(photo.order, said["caption"])}


def _judge_role(row: Photo, role: str) -> None:
    if row.role == Photo.Role.CUSTOMER:
        raise Refused("The customer sent this photo; that stays said.", field="role")
    if role not in STAFF_ROLES:
        raise Refused("Choose what the photo shows.", field="role")
    same = Photo.objects.filter(order=row.order_id, role=role, original_sha256=row.original_sha256)
    if same.exists():
        raise Refused("The same picture is on the sheet with that role already.", field="role")


def _copy_of(photo: Photo) -> str:
    """The digest of what is seen; without the file there is nothing to see, which must not keep it from being hidden."""
    try:
        return marked.digest_of(photo)
    except OSError:
        return ""


def _tell(photo: Photo, what: str, by: Person, at: dt.datetime, more: dict[str, object]) -> None:
    facts = {"sha256": photo.sha256, "role": photo.role, **more}
    history.record(order=photo.order, what=what, by=by.username, at=at, facts=facts)
