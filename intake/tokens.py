"""Links for customers: 256 random bits, of which only the digest is kept."""

import datetime as dt
import hashlib
import secrets

from django.conf import settings
from django.db.models import F

from intake.models import CustomerLink, Order

LIFE = dt.timedelta(days=180)


def new_token() -> str:
    return secrets.token_urlsafe(32)


def digest_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def give_link(order: Order, *, at: dt.datetime, purpose: str = "window") -> str:
    """Make a link and return its full address. The token is nowhere but in what is returned."""
    token = new_token()
    CustomerLink.objects.create(
        digest=digest_of(token), order=order, purpose=purpose, created_at=at, expires_at=at + LIFE
    )
    return f"{settings.SITE_ADDRESS}{settings.CUSTOMER_LINK_PATH}{token}/"


def find_link(token: str, *, at: dt.datetime) -> CustomerLink | None:
    """The live link of a token, or None for unknown, expired and revoked alike."""
    return (
        CustomerLink.objects.select_related("order")
        .filter(digest=digest_of(token), revoked_at__isnull=True, expires_at__gt=at)
        .first()
    )


def note_use(link: CustomerLink, *, at: dt.datetime) -> None:
    CustomerLink.objects.filter(pk=link.pk).update(last_used_at=at, uses=F("uses") + 1)


def revoke_links(order: Order, *, at: dt.datetime) -> int:
    """Close every link of an order; the next letter carries a fresh one."""
    return CustomerLink.objects.filter(order=order, revoked_at__isnull=True).update(revoked_at=at)


def live_link(pk: int, *, at: dt.datetime) -> CustomerLink | None:
    """The link a cookie stands for, if it still works."""
    return (
        CustomerLink.objects.select_related("order")
        .filter(pk=pk, revoked_at__isnull=True, expires_at__gt=at)
        .first()
    )
