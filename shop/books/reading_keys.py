"""Keys another program reads the figures with: made and shown once, kept as a digest, ended with one press."""

import datetime as dt
import hashlib
import hmac
import re
import secrets

from intake.history import in_turn
from intake.models import Person
from intake.refusals import Refused
from shop.models import ReadKey

# 32 random bytes: nobody finds one by trying (common practice, no source).
BYTES = 32
SIGN = "read_"
MOST = 50
_BEARER = re.compile(r"bearer +([A-Za-z0-9_\-.~+/]{20,200}=*) *", re.IGNORECASE)


@in_turn
def make_key(*, name: str, by: Person, at: dt.datetime) -> tuple[ReadKey, str]:
    """A new key: its row, and the key itself, which exists nowhere else. Raises Refused for a name in use, or too many."""
    name = " ".join(name.split())[:60]
    live = ReadKey.objects.filter(ended_at=None)
    if not name:
        raise Refused("Say which program or person the key is for.", field="name")
    if live.filter(name__iexact=name).exists():
        raise Refused(
            "There is a key of this name already. End it first, or choose another name.", field="name"
        )
    if live.count() >= MOST:
        raise Refused(f"There are {MOST} keys. End one first.", field="name")
    key = SIGN + secrets.token_urlsafe(BYTES)
    return ReadKey.objects.create(name=name, digest=digest(key), made_at=at, by=by), key


@in_turn
def end_key(*, key: ReadKey, by: Person, at: dt.datetime) -> None:
    """From now on it opens nothing. Ending it twice changes nothing."""
    ReadKey.objects.filter(pk=key.pk, ended_at=None).update(ended_at=at, ended_by=by)


def key_of(header: str, *, today: dt.date) -> ReadKey | None:
    """The live key of an Authorization header (RFC 6750, section 2.1); None for none. Notes the day it was used."""
    match = _BEARER.fullmatch(header)
    if not match:
        return None
    sought = digest(match[1])
    row = ReadKey.objects.filter(digest=sought, ended_at=None).first()
    if row is None or not hmac.compare_digest(row.digest, sought):
        return None
    if row.used_on != today:
        ReadKey.objects.filter(pk=row.pk).update(used_on=today)
    return row


def digest(key: str) -> str:
    """SHA-256 in hex: enough for a key of 32 random bytes, which no list of words holds."""
    return hashlib.sha256(key.encode()).hexdigest()
