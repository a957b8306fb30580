"""Links for customers: 256 bits, of which the database keeps only the digest."""

import base64
import datetime as dt
import hashlib
import hmac
import secrets

from django.conf import settings
from django.db import transaction
from django.db.models import F, QuerySet

from intake.models import CustomerLink, Draft, Order

LIFE = dt.timedelta(days=180)
MARK = "[[link]]"


def new_token() -> str:
    """A random secret of 256 bits for a draft or a form."""
    return secrets.token_urlsafe(32)


def digest_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _derive(nonce: str, key: str) -> str:
    mac = hmac.new(key.encode(), f"customer link {nonce}".encode(), hashlib.sha256).digest()
    return base64.urlsafe_b64encode(mac).rstrip(b"=").decode()


def address_of(link: CustomerLink) -> str:
    """The full address of a link, worked out anew from the secret key; "" when the key has gone."""
    for key in [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]:
        token = _derive(link.nonce, key)
        if hmac.compare_digest(digest_of(token), link.digest):
            return f"{settings.SITE_ADDRESS}{settings.CUSTOMER_LINK_PATH}{token}/"
    return ""


@transaction.atomic
def give_link(order: Order, *, at: dt.datetime) -> CustomerLink:
    """The order's live link, made if there is none."""
    for link in CustomerLink.objects.filter(order=order, revoked_at__isnull=True, expires_at__gt=at):
        if address_of(link):
            return link
    nonce = secrets.token_urlsafe(32)
    return CustomerLink.objects.create(
        nonce=nonce,
        digest=digest_of(_derive(nonce, settings.SECRET_KEY)),
        order=order,
        created_at=at,
        expires_at=at + LIFE,
    )


def find_link(token: str, *, at: dt.datetime) -> CustomerLink | None:
    """The live link of a token, or None for unknown, expired and revoked alike."""
    return _live(at).filter(digest=digest_of(token)).first()


def live_link(pk: int, *, at: dt.datetime) -> CustomerLink | None:
    """The link a cookie stands for, if it still works."""
    return _live(at).filter(pk=pk).first()


def _live(at: dt.datetime) -> QuerySet[CustomerLink]:
    return CustomerLink.objects.select_related("order").filter(revoked_at__isnull=True, expires_at__gt=at)


def note_use(link: CustomerLink, *, at: dt.datetime) -> None:
    CustomerLink.objects.filter(pk=link.pk).update(last_used_at=at, uses=F("uses") + 1)


def revoke_links(order: Order, *, at: dt.datetime) -> int:
    """Close every way in to an order, that of its request too; the next letter carries a fresh one."""
    Draft.objects.filter(order=order, expires_at__gt=at).update(expires_at=at)
    return CustomerLink.objects.filter(order=order, revoked_at__isnull=True).update(revoked_at=at)
