"""Data that was copied for a customer: what, on which medium, with the digest list; and the end of the shop's own copy."""

import datetime as dt
import hashlib
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils import timezone

from intake import history, letters, lifecycle, wording
from intake.history import in_turn
from intake.models import Order, Person
from intake.refusals import Refused
from intake.stations import Station
from shop.branches.digest_lines import DigestListError, as_text, read_list
from shop.models import DataCopy

# How long the shop keeps its own copy once the medium has left: common practice, no source.
KEPT_DAYS = 30
LONGEST_DAYS = 365


@dataclass(frozen=True)
class Copied:
    """What was copied. `listing` is the text of the list, `bytes_long` the size of all files where it was noted,
    `sample` what was opened to look, of the kind the customer chose; `delete_on` None: KEPT_DAYS after it has left."""

    files: int
    medium: str
    encrypted: bool
    listing: str
    sample: str = ""
    bytes_long: int | None = None
    delete_on: dt.date | None = None


@in_turn
def write_copy(*, order: Order, copied: Copied, key: str, by: Person, at: dt.datetime) -> DataCopy:
    """Write down what was copied, at 60 or 70. The same key writes once. Raises Refused, lifecycle errors."""
    known = DataCopy.objects.filter(key=key).first()
    if known is not None:
        return known
    lifecycle.must_stand_at(order, Station.REPAIR, Station.TEST)
    listing = _listing(copied)
    today = timezone.localdate(at)
    delete_on = copied.delete_on or today + dt.timedelta(days=KEPT_DAYS)
    if not today <= delete_on <= today + dt.timedelta(days=LONGEST_DAYS):
        raise Refused("The day lies between today and a year from now.", field="delete_on")
    copy = DataCopy.objects.create(
        order=order,
        key=key,
        files=copied.files,
        bytes_long=copied.bytes_long,
        medium=copied.medium.strip()[:120],
        encrypted=copied.encrypted,
        sample=copied.sample.strip()[:200],
        listing=listing,
        listing_sha256=hashlib.sha256(listing.encode()).hexdigest(),
        delete_on=delete_on,
        at=at,
        by=by,
    )
    history.record(
        order=order,
        what="data copied",
        by=by.username,
        at=at,
        facts={"files": copy.files, "list": copy.listing_sha256, "encrypted": copy.encrypted},
    )
    return copy


def _listing(copied: Copied) -> str:
    if not copied.medium.strip():
        raise Refused("Say what it was copied to.", field="medium")
    try:
        lines = read_list(copied.listing)
    except DigestListError as fault:
        raise Refused(str(fault), field="listing") from fault
    if len(lines) != copied.files:
        raise Refused(f"The list has {len(lines)} files, and {copied.files} were counted.", field="files")
    return as_text(lines)


def must_be_written(order: Order) -> None:
    """Nobody signs 'data only' without saying what was copied. Raises Refused."""
    if not order.data_copies.exists():
        raise Refused("Write down first what was copied, with its digest list. Then it can be signed.")


@in_turn
def delete_copy(*, copy: DataCopy, how: str, by: Person, at: dt.datetime) -> DataCopy:
    """The shop's own copy is gone: who, when, how; the customer is told. Once only. Raises Refused."""
    if not how.strip():
        raise Refused("Say how it was deleted: the tool or the command.", field="how")
    if copy.order.station < Station.GOODS_OUT:
        raise Refused("The work on it is not signed yet. Keep the copy until the customer has theirs.")
    changed = DataCopy.objects.filter(pk=copy.pk, deleted_at__isnull=True).update(
        deleted_at=at, deleted_by=by, deleted_how=how.strip()[:200]
    )
    copy.refresh_from_db()
    if not changed:
        raise Refused("That copy was deleted already.")
    history.record(
        order=copy.order, what="copy deleted", by=by.username, at=at, facts={"list": copy.listing_sha256}
    )
    letters.tell(copy.order, kind="copy_deleted", ref=copy.pk, at=at, copy=copy)
    return copy


@in_turn
def handed_over(*, order: Order, at: dt.datetime) -> None:
    """The parcel has left: a day that nobody chose counts from now. Called with the parcel."""
    for copy in order.data_copies.filter(deleted_at__isnull=True):
        if copy.delete_on == timezone.localdate(copy.at) + dt.timedelta(days=KEPT_DAYS):
            copy.delete_on = timezone.localdate(at) + dt.timedelta(days=KEPT_DAYS)
            copy.save(update_fields=["delete_on"])


def due_copies(today: dt.date) -> QuerySet[DataCopy]:
    """Copies of the shop's own whose day has come, the oldest first; the device has left or lies at goods out."""
    rows = DataCopy.objects.filter(
        deleted_at__isnull=True, delete_on__lte=today, order__station__gte=Station.GOODS_OUT
    )
    return rows.select_related("order", "order__device").order_by("delete_on", "id")


def told(order: Order) -> list[DataCopy]:
    """What the customer may see: once the work on it is signed."""
    return list(order.data_copies.all()) if order.station >= Station.GOODS_OUT else []


def said_of(order: Order) -> list[str]:
    """What was copied, in words for the report; a late drawing says the same."""
    return [
        f"{wording.count(copy.files, 'file')}, to {copy.medium}, {'' if copy.encrypted else 'not '}encrypted."
        + (f" Opened to check: {copy.sample}." if copy.sample else " Nothing was opened.")
        + f" SHA-256 of the list of all files: {copy.listing_sha256}"
        for copy in order.data_copies.all()
    ]
