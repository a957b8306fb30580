"""The pass with which a phone at the bench adds photos to one order for half an hour, without signing in.

The secret is worked out from the server's key and what the row says, so that it is kept nowhere; the row has its digest.
"""

import base64
import datetime as dt
import hashlib
import hmac

from django.conf import settings
from django.db.models import QuerySet

from intake import album, history
from intake.history import in_turn
from intake.models import Order, Person, Photo
from intake.refusals import Refused
from intake.stations import Station
from intake.tokens import digest_of
from shop.models import PhonePass
from shop.pictures.choosing import STAFF_ROLES

LIFE = dt.timedelta(minutes=30)
GONE = "The code has run out."


@in_turn
def open_pass(*, order: Order, role: str, by: Person, at: dt.datetime) -> PhonePass:
    """A new pass for an order that is here; the person's earlier ones to it end. Raises Refused."""
    order.refresh_from_db(fields=["station"])
    if not _is_here(order):
        raise Refused("This order has left. Photos can no longer be added by phone.")
    live_of(order, at=at).filter(made_by=by).update(ended_at=at)
    row = PhonePass.objects.create(
        order=order,
        role=role if role in STAFF_ROLES else Photo.Role.FAULT,
        digest=digest_of(_derive(order.pk, by.pk, at, settings.SECRET_KEY)),
        made_at=at,
        made_by=by,
        expires_at=at + LIFE,
    )
    history.record(order=order, what="phone pass", by=by.username, at=at, facts={"until": row.expires_at})
    return row


def secret_of(row: PhonePass) -> str:
    """The secret of a pass, for the code on the screen; "" when the server's key has gone."""
    for key in [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]:
        secret = _derive(row.order_id, row.made_by_id, row.made_at, key)
        if hmac.compare_digest(digest_of(secret), row.digest):
            return secret
    return ""


def find_pass(secret: str, *, at: dt.datetime) -> PhonePass | None:
    """The live pass of a secret; None for unknown, ended, too late and gone home alike."""
    row = _rows().filter(digest=digest_of(secret)).first()
    return row if row is not None and is_live(row, at=at) else None


def live_pass(pk: int, *, at: dt.datetime) -> PhonePass | None:
    """The pass that a session stands for, if it still works."""
    row = _rows().filter(pk=pk).first()
    return row if row is not None and is_live(row, at=at) else None


def is_live(row: PhonePass, *, at: dt.datetime) -> bool:
    return row.ended_at is None and at < row.expires_at and _is_here(row.order)


def live_of(order: Order, *, at: dt.datetime) -> QuerySet[PhonePass]:
    return PhonePass.objects.filter(order=order, ended_at__isnull=True, expires_at__gt=at)


@in_turn
def end_pass(*, row: PhonePass, by: str, at: dt.datetime) -> None:
    """Nothing more comes in by this pass. One that has ended stays as it is."""
    if PhonePass.objects.filter(pk=row.pk, ended_at__isnull=True).update(ended_at=at):
        history.record(order=row.order, what="phone pass ended", by=by, at=at, facts={})


def take_photo(*, row: PhonePass, content: bytes, role: str, at: dt.datetime) -> Photo:
    """Keep one photo that came by a pass; the same picture twice is kept once. Raises Refused."""
    if not is_live(PhonePass.objects.select_related("order").get(pk=row.pk), at=at):
        raise Refused(f"{GONE} Ask for a fresh one at the bench.")
    if role not in STAFF_ROLES:
        raise Refused("Choose what the photos show.", field="role")
    return album.add_photo(content=content, role=role, by=row.made_by.username, at=at, order=row.order)


def _rows() -> QuerySet[PhonePass]:
    return PhonePass.objects.select_related("order", "made_by")


def _is_here(order: Order) -> bool:
    return Station.GOODS_IN <= order.station <= Station.GOODS_OUT


def _derive(order: int, person: int, made_at: dt.datetime, key: str) -> str:
    words = f"phone pass {order} {person} {made_at.astimezone(dt.UTC).isoformat()}"
    mac = hmac.new(key.encode(), words.encode(), hashlib.sha256).digest()
    return base64.urlsafe_b64encode(mac).rstrip(b"=").decode()
