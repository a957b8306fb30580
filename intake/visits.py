"""Which order windows this browser may see, and which sender a public form came from."""

import hashlib
import hmac
import ipaddress
from datetime import datetime

from django.conf import settings
from django.core.cache import cache
from django.http import HttpRequest

from intake import tokens
from intake.models import CustomerLink

WINDOWS = "windows"
MOST_WINDOWS = 20
BYTES_A_DAY = 200_000_000


def remember_link(request: HttpRequest, link: CustomerLink) -> None:
    """From now on this browser sees the window of the link's order; the session holds the link's id only."""
    windows = dict(request.session.get(WINDOWS, {}))
    windows.pop(link.order.code, None)
    windows[link.order.code] = link.pk
    request.session[WINDOWS] = dict(list(windows.items())[-MOST_WINDOWS:])


def link_from(request: HttpRequest, code: str, *, at: datetime) -> CustomerLink | None:
    """The live link by which this browser may see the order with that code, or None."""
    pk = request.session.get(WINDOWS, {}).get(code)
    link = tokens.live_link(pk, at=at) if isinstance(pk, int) else None
    return link if link is not None and link.order.code == code else None


def sender_of(request: HttpRequest) -> str:
    """A salted digest of the sender's network address, for limits; the address itself is not kept.

    Of an IPv6 address only the first 64 bits count: one household holds them all.
    """
    told = str(request.META.get("REMOTE_ADDR", ""))
    try:
        address = ipaddress.ip_address(told)
    except ValueError:
        place = told
    else:
        bits = 64 if address.version == 6 else 32
        place = str(ipaddress.ip_network(f"{address}/{bits}", strict=False))
    return hmac.new(settings.SECRET_KEY.encode(), f"sender {place}".encode(), hashlib.sha256).hexdigest()


def sent_too_much(sender: str, size: int, *, at: datetime) -> bool:
    """Count `size` bytes of files for a sender's day (UTC) and say whether that is more than BYTES_A_DAY (ASVS 5.0, 5.2.4)."""
    key = f"sent-bytes:{at:%Y%m%d}:{sender}"
    if not cache.add(key, size, 86_400):
        try:
            return cache.incr(key, size) > BYTES_A_DAY
        except ValueError:
            cache.set(key, size, 86_400)
    return size > BYTES_A_DAY
